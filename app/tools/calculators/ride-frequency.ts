import { dampingRatio, rideFrequency, rideRate, wheelRate } from '@/lib/setup-math'
import { input, row, type Calculator } from '../calculator'

export const rideFrequencyTool: Calculator = {
  id: 'ride-frequency',
  title: 'Ride frequency',
  about: 'What a spring feels like at the wheel, and how fast the car nods on it.',
  inputs: [
    input('springNPerMm', 'Spring rate', 'N/mm', 0.01, 500, 140.101),
    input('motionRatio', 'Motion ratio, spring travel over wheel travel', '', 0.1, 2, 0.7334),
    input('tireNPerMm', 'Tire rate', 'N/mm', 0.1, 1000, 318.03),
    input('massKg', 'Sprung mass on that wheel', 'kg', 0.05, 1000, 312),
    input('damper', 'Damping rate of the damper', 'N s/m', 0, 100000, 5000),
  ],
  compute: (v) => {
    const { springNPerMm = 0, motionRatio = 0, tireNPerMm = 0, massKg = 0, damper = 0 } = v
    const wheelRateNPerM = wheelRate({ springNPerM: springNPerMm * 1000, motionRatio })
    const with_ = { wheelRateNPerM, tireRateNPerM: tireNPerMm * 1000 }
    return [
      row('wheelRate', 'Wheel rate', wheelRateNPerM / 1000, 'N/mm', 3),
      row('rideRate', 'With the tire', rideRate(with_) / 1000, 'N/mm', 3),
      row('frequency', 'Ride frequency', rideFrequency({ ...with_, massKg }), 'Hz', 2),
      row(
        'damping',
        'Damping ratio',
        dampingRatio({ damperNsPerM: damper, motionRatio, ...with_, massKg }),
        '',
        2,
      ),
    ]
  },
  example: {
    text: 'A full-size car’s corner: 140.101 N/mm at 0.7334 give 75.36 N/mm at the wheel, 60.92 with a 318.03 N/mm tire, 2.22 Hz under 312 kg.',
    source: 'Worked example, engineering forum 2013; damping left to you.',
    expect: { wheelRate: 75.357, rideRate: 60.922, frequency: 2.22 },
  },
}
