import { cgHeight, isAbsent } from '@/lib/setup-math'
import { demand, input, row, type Calculator } from '../calculator'

export const cgHeightTool: Calculator = {
  id: 'cg-height',
  title: 'Center of gravity height',
  about: 'Measured by raising the rear axle: suspension locked, all wheels free to roll.',
  inputs: [
    input('wheelbaseMm', 'Wheelbase', 'mm', 150, 500, 285),
    input('raiseMm', 'Rear axle raised by', 'mm', 5, 250, 120),
    input('radiusMm', 'Wheel radius', 'mm', 20, 80, 41.5),
    input('massG', 'Weight', 'g', 500, 5000, 1600),
    input('levelG', 'Front, level', 'g', 100, 4000, 608),
    input('raisedG', 'Front, raised', 'g', 100, 4000, 643.18),
  ],
  compute: (v) => {
    const { wheelbaseMm = 0, raiseMm = 0, massG = 0, levelG = 0, raisedG = 0 } = v
    demand(raiseMm < wheelbaseMm, 'raiseMm', raiseMm, `below the wheelbase, ${wheelbaseMm} mm`)
    demand(levelG <= massG, 'levelG', levelG, `up to the whole weight, ${massG} g`)
    demand(raisedG <= massG, 'raisedG', raisedG, `up to the whole weight, ${massG} g`)
    const h = cgHeight({
      wheelbaseM: wheelbaseMm / 1000,
      raiseM: raiseMm / 1000,
      wheelRadiusM: (v['radiusMm'] ?? 0) / 1000,
      massKg: massG / 1000,
      frontLevelKg: levelG / 1000,
      frontRaisedKg: raisedG / 1000,
    })
    if (isAbsent(h)) return `${h.reason}.`
    return [
      row('height', 'Height', h.heightM * 1000, 'mm', 2),
      row('perGram', 'One gram at the front scale changes it by', h.perGramM * 1000, 'mm', 3),
    ]
  },
  example: {
    text: '1600 g on 285 mm, rear up 120 mm, front from 608 to 643.18 g: 55.0 mm; one gram is 0.384 mm.',
    source: 'Raised-axle method (Milliken, Race Car Vehicle Dynamics ch. 18, from memory); arithmetic.',
  },
}
