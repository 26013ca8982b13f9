import { dampingRatio, rideFrequency, rideRate, wheelRate } from '@/lib/setup-math'
import { input, optional, row, type Calculator } from '../calculator'

export const rideFrequencyTool: Calculator = {
  id: 'ride-frequency',
  title: 'Ride frequency',
  about:
    'How stiff a spring is at the wheel, and how fast the car bounces on it. Without a tire rate the tire counts as rigid.',
  inputs: [
    input('springNPerM', 'Spring rate', 'N/m', 10, 500000, 800),
    input('motionRatio', 'Motion ratio, spring travel over wheel travel', '', 0.1, 2, 0.6),
    input('massKg', 'Sprung mass on that wheel', 'kg', 0.05, 1000, 0.3),
    optional('tireNPerM', 'Tire rate', 'N/m', 100, 1000000, 3000),
    optional('damper', 'Damping rate of the damper', 'N s/m', 0, 100000),
  ],
  compute: (v) => {
    const { springNPerM = 0, motionRatio = 0, tireNPerM, massKg = 0, damper } = v
    const wheelRateNPerM = wheelRate({ springNPerM, motionRatio })
    const rates = {
      wheelRateNPerM,
      ...(tireNPerM !== undefined && { tireRateNPerM: tireNPerM }),
    }
    return [
      row('wheelRate', 'Wheel rate', wheelRateNPerM, 'N/m', 0),
      ...(tireNPerM === undefined ? [] : [row('rideRate', 'With the tire', rideRate(rates), 'N/m', 0)]),
      row('frequency', 'Ride frequency', rideFrequency({ ...rates, massKg }), 'Hz', 2),
      ...(damper === undefined
        ? []
        : [
            row(
              'damping',
              'Damping ratio',
              dampingRatio({ damperNsPerM: damper, motionRatio, ...rates, massKg }),
              '',
              2,
            ),
          ]),
    ]
  },
  example: {
    text: '800 N/m at a ratio of 0.6: 800 × 0.6² = 288 N/m at the wheel; with a tire of 3000 N/m in series 263; under 0.3 kg √(263 / 0.3) / 2π = 4.71 Hz.',
    source:
      'Principle of virtual work (Barton, Fieldhouse, Automotive Chassis Engineering, eq. 3.33); arithmetic. The same functions meet a published corner of a full-size car: 140101 N/m at 0.7334, tire 318030 N/m, 312 kg: 2.22 Hz (engineering forum, 2013).',
  },
}
