import { centreDistance, finalDrive, moduleFromDiametralPitch, rollout, speedAtRpm } from '@/lib/setup-math'
import { demand, input, optional, row, type Calculator } from '../calculator'

export const gearPairTool: Calculator = {
  id: 'gear-pair',
  title: 'Gear pair',
  about:
    'What a pinion and a spur do to the motor’s speed, and how far apart they sit. Enter the tooth size as module or as diametral pitch.',
  inputs: [
    input('pinion', 'Pinion', 't', 8, 60, 31, 1),
    input('spur', 'Spur', 't', 30, 140, 72, 1),
    input('internalRatio', 'Internal ratio', '', 0.5, 10, 2.6),
    input('tireDiameterMm', 'Driven tire diameter', 'mm', 40, 150, 83),
    input('rpm', 'Motor speed', 'rpm', 0, 100000, 30000),
    optional('moduleMm', 'Module', 'mm', 0.2, 1.5),
    optional('pitch', 'Or diametral pitch', '', 16, 128, 48),
  ],
  compute: (v) => {
    const { pinion = 0, spur = 0, internalRatio = 0, tireDiameterMm = 0, rpm = 0, pitch } = v
    demand(
      v['moduleMm'] === undefined || pitch === undefined,
      'pitch',
      pitch ?? 0,
      'either module or diametral pitch, not both',
    )
    const moduleMm = pitch === undefined ? v['moduleMm'] : moduleFromDiametralPitch(pitch)
    const ratio = finalDrive({ pinion, spur, internalRatio })
    const rolloutMm = rollout({ tireDiameterMm, finalDrive: ratio })
    return [
      row('finalDrive', 'Final drive ratio', ratio, '', 4),
      row('rollout', 'Rollout', rolloutMm, 'mm/turn', 3),
      row('speed', 'Speed at that motor speed', speedAtRpm({ rpm, rolloutMm }), 'm/s', 3),
      ...(moduleMm === undefined
        ? []
        : [row('center', 'Center distance', centreDistance({ moduleMm, pinion, spur }), 'mm', 3)]),
    ]
  },
  example: {
    text: '31 on 72 with an internal ratio of 2.6 on 83 mm tires: 72 / 31 × 2.6 = 6.0387 motor turns per wheel turn, π × 83 / 6.0387 = 43.180 mm per motor turn, 21.590 m/s at 30,000 rpm; at 48 pitch the shafts are 25.4 / 48 × 103 / 2 = 27.252 mm apart.',
    source: 'Module = 25.4 / pitch; center distance = module × (pinion + spur) / 2; arithmetic.',
  },
  note: 'Set the mesh with the pack unplugged.',
}
