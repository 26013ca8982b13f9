import { sameSpeedFinalDrive } from '@/lib/setup-math'
import { input, row, type Calculator } from '../calculator'

export const sameSpeedTool: Calculator = {
  id: 'same-speed',
  title: 'Same speed after a change',
  about: 'The final drive ratio that keeps the same speed with another motor, cell count or tire size.',
  inputs: [
    input('finalDrive', 'Final drive ratio now', '', 1, 30, 6.0387),
    input('kvBefore', 'Kv now', 'rpm/V', 100, 20000, 2200),
    input('kvAfter', 'New Kv', 'rpm/V', 100, 20000, 2750),
    input('cellsBefore', 'Cells now', '', 1, 6, 2, 1),
    input('cellsAfter', 'New cells', '', 1, 6, 2, 1),
    input('tireBefore', 'Tire diameter now', 'mm', 40, 150, 83),
    input('tireAfter', 'New tire diameter', 'mm', 40, 150, 83),
  ],
  compute: (v) => {
    const at = (when: 'Before' | 'After') => ({
      kvRpmPerVolt: v[`kv${when}`] ?? 0,
      voltageV: v[`cells${when}`] ?? 0,
      tireDiameterMm: v[`tire${when}`] ?? 0,
    })
    const ratio = sameSpeedFinalDrive(v['finalDrive'] ?? 0, at('Before'), at('After'))
    return [row('ratio', 'New final drive ratio', ratio, '', 4)]
  },
  example: {
    text: 'From 2200 to 2750 rpm/V at a ratio of 6.0387: 6.0387 × 2750 / 2200 = 7.5484.',
    source: 'No-load speed law, speed ~ Kv V D / ratio; arithmetic.',
  },
}
