import { dampingRatio, rideFrequency, rideRate, wheelRate } from '@/lib/setup-math'
import { input, optional, row, type Calculator } from '../calculator'

export const rideFrequencyTool: Calculator = {
  id: 'ride-frequency',
  title: 'Ride frequency',
  about:
    'How stiff a spring is at the wheel, and how fast the car bounces on it. Without a tire rate the tire counts as rigid.',
  inputs: [
    input('springNPerMm', 'Spring rate', 'N/mm', 0.01, 500, 0.8),
    input('motionRatio', 'Motion ratio, spring travel over wheel travel', '', 0.1, 2, 0.6),
    input('massKg', 'Sprung mass on that wheel', 'kg', 0.05, 1000, 0.3),
    optional('tireNPerMm', 'Tire rate', 'N/mm', 0.1, 1000, 3),
    optional('damper', 'Damping rate of the damper', 'N s/m', 0, 100000),
  ],
  compute: (v) => {
    const { springNPerMm = 0, motionRatio = 0, tireNPerMm, massKg = 0, damper } = v
    const wheelRateNPerM = wheelRate({ springNPerM: springNPerMm * 1000, motionRatio })
    const rates = {
      wheelRateNPerM,
      ...(tireNPerMm !== undefined && { tireRateNPerM: tireNPerMm * 1000 }),
    }
    return [
      row('wheelRate', 'Wheel rate', wheelRateNPerM / 1000, 'N/mm', 3),
      ...(tireNPerMm === undefined
        ? []
        : [row('rideRate', 'With the tire', rideRate(rates) / 1000, 'N/mm', 3)]),
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
    text: '0.8 N/mm at a ratio of 0.6: 0.8 × 0.6² = 0.288 N/mm at the wheel; with a tire of 3 N/mm in series 0.263; under 0.3 kg √(263 / 0.3) / 2π = 4.71 Hz.',
    source:
      'Principle of virtual work (Barton, Fieldhouse, Automotive Chassis Engineering, eq. 3.33); arithmetic. The same functions meet a published corner of a full-size car: 140.101 N/mm at 0.7334, tire 318.03 N/mm, 312 kg: 2.22 Hz (engineering forum, 2013).',
  },
}
