import { paceFor } from '@/lib/setup-math'
import { input, row, type Calculator } from '../calculator'

export const paceTool: Calculator = {
  id: 'pace',
  title: 'Pace',
  about: 'What a steady lap gives over a race, and what one more lap takes.',
  inputs: [
    input('raceSeconds', 'Race length', 's', 30, 3600, 300, 1),
    input('lapSeconds', 'Lap', 's', 3, 300, 22.4),
  ],
  compute: (v) => {
    const p = paceFor({ raceSeconds: v['raceSeconds'] ?? 0, lapSeconds: v['lapSeconds'] ?? 0 })
    return [
      row('laps', 'Laps', p.laps, '', 0),
      row('finish', 'Finish', p.finishSeconds, 's', 1),
      row('oneMore', 'One more lap below', p.lapForOneMore, 's', 3),
    ]
  },
  example: {
    text: '22.4 s laps for five minutes: 14 laps in 5:13.6; one more below 21.429 s.',
    source: 'Common practice of timed heats; arithmetic.',
  },
}
