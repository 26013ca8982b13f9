import { airTravel, packEnergyWh } from '@/lib/setup-math'
import { input, row, type Calculator } from '../calculator'

export const flightTool: Calculator = {
  id: 'flight',
  title: 'A pack on a flight',
  about: 'The energy an airline counts, and how a spare may travel.',
  inputs: [
    input('volts', 'Nominal voltage', 'V', 1, 60, 7.4),
    input('capacityMah', 'Capacity', 'mAh', 100, 50000, 6000),
  ],
  compute: (v) => {
    const wh = packEnergyWh({ voltageV: v['volts'] ?? 0, capacityAh: (v['capacityMah'] ?? 0) / 1000 })
    return [row('wh', 'Energy', wh, 'Wh', 1), row('travel', 'As a spare', airTravel(wh), '', 0)]
  },
  example: {
    text: '7.4 V and 6000 mAh are 44.4 Wh: as a spare in carry-on, without approval.',
    source:
      'IATA Dangerous Goods Regulations 2.3; FAA PackSafe: over 100 Wh needs approval, over 160 Wh is not carried.',
  },
  note: 'The carrier’s own rules come first. Spares never go in checked baggage; tape their terminals.',
  caution: 'pack',
}
