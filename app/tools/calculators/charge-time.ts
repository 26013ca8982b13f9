import { chargeTime, isAbsent } from '@/lib/setup-math'
import { demand, input, row, type Calculator } from '../calculator'
import { pack, packInputs, PACK_SOURCE } from './pack-inputs'

export const chargeTimeTool: Calculator = {
  id: 'charge-time',
  title: 'How long a charge takes',
  about:
    'Constant current until the pack is at full voltage, then constant voltage until the current has tapered.',
  inputs: [
    ...packInputs,
    input('from', 'From', '%', 0, 99, 20),
    input('to', 'To', '%', 1, 100, 100),
    input('currentA', 'Charge current', 'A', 0.1, 100, 6),
    input('full', 'Full voltage', 'V/cell', 3.6, 4.35, 4.2),
    input('cutoffA', 'The charger stops at', 'A', 0.01, 20, 0.3),
  ],
  compute: (v) => {
    const { from = 0, to = 100 } = v
    demand(to >= from, 'to', to, `${from} to 100%, not below where the charge starts`)
    const time = chargeTime(pack(v, 1), {
      fromSoc: from / 100,
      toSoc: to / 100,
      currentA: v['currentA'] ?? 1,
      fullVoltsPerCell: v['full'] ?? 4.2,
      cutoffA: v['cutoffA'] ?? 0.3,
    })
    if (isAbsent(time)) return `${time.reason}.`
    return [
      row('cc', 'At constant current', time.constantCurrentS / 60, 'min', 2),
      row('cv', 'At constant voltage', time.constantVoltageS / 60, 'min', 2),
      row('total', 'Total', time.totalS / 60, 'min', 2),
      row('rate', 'Charge rate', (v['currentA'] ?? 0) / ((v['capacityMah'] ?? 1) / 1000), 'C', 2),
    ]
  },
  example: {
    text: 'Two cells of 6000 mAh and 8 mΩ from 20 to 100% at 6 A (1 C), stopping at 0.3 A: full voltage under way at 4.2 − 6 × 0.004 = 4.176 V at rest, 98.05%, after 46.83 minutes; the taper to 0.3 A takes 3.50 minutes: 50.33 together.',
    source: `${PACK_SOURCE} A real taper is longer.`,
  },
  note: 'Stay within the pack maker’s rate and the event’s limit.',
  caution: 'pack',
}
