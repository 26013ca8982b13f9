import { cornerWeights } from '@/lib/setup-math'
import { demand, input, row, type Calculator } from '../calculator'

export const cornerWeightsTool: Calculator = {
  id: 'corner-weights',
  title: 'Corner weights',
  about: 'Four scales, the car ready to run, steering straight.',
  inputs: [
    input('lf', 'Left front', 'g', 0, 5000, 300),
    input('rf', 'Right front', 'g', 0, 5000, 308),
    input('lr', 'Left rear', 'g', 0, 5000, 490),
    input('rr', 'Right rear', 'g', 0, 5000, 502),
  ],
  compute: (v) => {
    const { lf = 0, rf = 0, lr = 0, rr = 0 } = v
    demand(lf + rf + lr + rr > 0, 'lf', lf, 'some weight on the four scales')
    const c = cornerWeights({ lf, rf, lr, rr })
    return [
      row('total', 'Weight', c.total, 'g', 0),
      row('front', 'Front', c.frontPercent, '%', 2),
      row('left', 'Left', c.leftPercent, '%', 2),
      row('cross', 'Cross (right front and left rear)', c.crossPercent, '%', 2),
    ]
  },
  example: {
    text: '300, 308, 490 and 502 g: 1600 g, front 38%, left 49.375%, cross 49.875%.',
    source: 'Definition; arithmetic.',
  },
}
