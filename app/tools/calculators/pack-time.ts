import { loadedVoltage, usableCharge } from '@/lib/setup-math'
import { input, row, type Calculator } from '../calculator'
import { pack, packInputs, PACK_SOURCE } from './pack-inputs'

export const packTimeTool: Calculator = {
  id: 'pack-time',
  title: 'How long a pack lasts',
  about: 'The charge a pack gives at a steady current until its voltage under that load drops to a floor.',
  inputs: [
    ...packInputs,
    input('soc', 'State of charge at the start', '%', 1, 100, 100),
    input('loadA', 'Mean current', 'A', 0.1, 300, 60),
    input('floorPerCell', 'Floor under load', 'V/cell', 2.5, 4.2, 3.2),
  ],
  compute: (v) => {
    const p = pack(v, (v['soc'] ?? 100) / 100)
    const loadA = v['loadA'] ?? 1
    const ah = usableCharge(p, { loadA, floorV: (v['floorPerCell'] ?? 3.2) * p.cells })
    return [
      row('charge', 'Charge until then', ah, 'Ah', 3),
      row('minutes', 'Time until then', (ah / loadA) * 60, 'min', 2),
      row('start', 'Voltage under load at the start', loadedVoltage(p, loadA), 'V', 3),
    ]
  },
  example: {
    text: 'Two cells of 6000 mAh and 8 mΩ, full, at 60 A down to 3.2 V each: 8.4 − 60 × 0.008 = 7.92 V to begin with. At the floor a cell would rest at 3.2 + 60 × 0.004 = 3.44 V, where 4.11% are left: 5.753 Ah, 5.75 minutes.',
    source: PACK_SOURCE,
  },
  note: 'A race draws in bursts, so its mean current is far below this. Never run a pack until the car stops.',
  caution: 'pack',
}
