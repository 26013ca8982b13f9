import type { DemoClass } from '../roster'

/** The rest of the field, invented like everybody in the demo. Each of them races in both classes. */
const NAMES =
  `Adela Quist, Ambrose Tell, Bettina Vask, Cato Rimmer, Clemens Oxley, Dagny Pell, Edda Marsh, Elio Quarrie, Esme Thorsby,
Falk Ottery, Fenna Drax, Gideon Losse, Greta Holm-Vane, Hanno Skerry, Hedda Wray, Idris Calloway-Pike, Ines Tarn, Jorun Salter,
Kasimir Bloom, Kit Ashgrove, Leonie Farr, Lorcan Midge, Magda Ferrow, Mattis Ironside, Nell Quayle-Orr, Odo Brackwater, Orla Zeitz,
Perrin Stroud, Quentin Vale-Hurst, Runa Eskdale, Silas Mudge, Sunniva Garth, Teodor Plank, Ulla Wexcombe, Viggo Trass, Zelda Fenwright`
    .split(/,\s*/)
    .map((name) => name.trim())

export interface FieldEntry {
  driver: string
  carNumber: string
  transponder: string
}

/** Numbers the team's own entries hold. */
const TAKEN = new Set([7, 14, 23, 31])

/** The field of one class, without the team, in an order of its own. */
export function fieldOf(cls: DemoClass): FieldEntry[] {
  const free = Array.from({ length: NAMES.length + TAKEN.size }, (_, i) => i + 1).filter((n) => !TAKEN.has(n))
  const field = NAMES.map((driver, i) => ({
    driver,
    carNumber: String(free[i] ?? 99),
    transponder: String(2000000 + (((i + 1) * 76543 + (cls === '4WD Modified' ? 411 : 0)) % 7000000)),
  }))
  // A fixed shuffle: steps that are prime to the length visit everybody once.
  const step = cls === '4WD Modified' ? 17 : 13
  return field.map((_, i) => field[(i * step + 5) % field.length] ?? field[0]).filter((f) => f !== undefined)
}
