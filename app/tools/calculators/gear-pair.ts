import { centreDistance, finalDrive, rollout, speedAtRpm } from '@/lib/setup-math'
import { input, row, type Calculator } from '../calculator'

export const gearPairTool: Calculator = {
  id: 'gear-pair',
  title: 'Gear pair',
  about: 'What a pinion and a spur make of the motor’s turns, and how far apart they sit.',
  inputs: [
    input('pinion', 'Pinion', 't', 8, 60, 31, 1),
    input('spur', 'Spur', 't', 30, 140, 72, 1),
    input('internalRatio', 'Internal ratio', '', 0.5, 10, 2.6),
    input('tireDiameterMm', 'Driven tire diameter', 'mm', 40, 150, 83),
    input('moduleMm', 'Module (25.4 divided by diametral pitch)', 'mm', 0.2, 1.5, 0.5),
    input('rpm', 'Motor speed', 'rpm', 0, 100000, 30000),
  ],
  compute: (v) => {
    const { pinion = 0, spur = 0, internalRatio = 0, tireDiameterMm = 0, moduleMm = 0, rpm = 0 } = v
    const ratio = finalDrive({ pinion, spur, internalRatio })
    const rolloutMm = rollout({ tireDiameterMm, finalDrive: ratio })
    return [
      row('finalDrive', 'Final drive ratio', ratio, '', 4),
      row('rollout', 'Rollout', rolloutMm, 'mm/turn', 3),
      row('speed', 'Speed at that motor speed', speedAtRpm({ rpm, rolloutMm }), 'm/s', 3),
      row('centre', 'Centre distance', centreDistance({ moduleMm, pinion, spur }), 'mm', 3),
    ]
  },
  example: {
    text: '31 on 72 with an internal ratio of 2.6 on 83 mm tires: 6.0387 motor turns per wheel turn, 43.180 mm per motor turn, 21.590 m/s at 30 000 rpm; module 0.5 puts the shafts 25.75 mm apart.',
    source: 'Gear formula m (z1 + z2) / 2 and arithmetic.',
    expect: { finalDrive: 6.03870968, rollout: 43.180117, speed: 21.5900585, centre: 25.75 },
  },
  note: 'Set the mesh with the pack unplugged.',
}
