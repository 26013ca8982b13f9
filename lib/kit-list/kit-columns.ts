import {
  COLLECTIONS,
  describeField,
  isRefField,
  isShare,
  type FieldFace,
  type KitCollection,
  type RefField,
} from '../board'
import { fold } from '../board/fold-name'

/** One field of a kit collection that a list can fill. */
export interface KitColumn extends FieldFace {
  field: string
  /** Names another record of the kit. */
  ref: RefField | null
  /** Belongs to this one thing alone (a number, a reading, a count): not taken over by copies. */
  own: boolean
  /** Kept as a share of 1; people write it in %. */
  share: boolean
}

/** Not for lists: kept by acts of their own, or by the server. */
const KEPT_ELSEWHERE = new Set([
  'removed',
  'order',
  'role',
  'onCarId',
  'controllerId@controllerParameters',
  'checklistId@checklistItems',
])
const OWN = new Set([
  'name',
  'label',
  'text',
  'note',
  'carNumber',
  'transponder',
  'resistanceMilliohm',
  'resistanceAtC',
  'wheelsUpCurrentA',
  'wheelsUpRpm',
  'wheelsUpTimingDeg',
  'wheelsUpPinion',
  'noLoadTimingDeg',
  'noLoadVolts',
  'noLoadRpm',
  'secondTimingDeg',
  'secondVolts',
  'secondRpm',
  'secondCurrentA',
  'cycles',
  'runs',
  'runMinutes',
  'health',
  'diameterMm',
])

/** What people head a column with beside the field's own label. Common practice, no source. */
const ALSO: Record<string, readonly string[]> = {
  name: ['name', 'car', 'motor', 'person', 'driver name', 'speed control'],
  label: ['label', 'id', 'no', 'nr', 'number', 'pack', 'set', 'tire', 'tires', 'name', 'parameter'],
  text: ['item', 'text'],
  driverId: ['driver', 'driven by'],
  mechanicId: ['mechanic'],
  drive: ['drive', 'driven wheels', 'wd', 'for'],
  carNumber: ['car no', 'race no', 'race number', 'no', 'number', 'nr'],
  transponder: ['transponder', 'chip', 'tag'],
  motorId: ['motor'],
  controllerId: ['speed control', 'controller'],
  weightG: ['weight', 'mass', 'grams'],
  capacityMah: ['capacity', 'mah', 'size'],
  cells: ['cells', 'cell count', 's'],
  resistanceMilliohm: ['resistance', 'ir', 'internal resistance', 'milliohm'],
  maxChargeC: ['max charge', 'charge rate', 'charge rate cap'],
  kvRpmPerVolt: ['kv', 'rpm v'],
  turns: ['turns', 't', 'wind'],
  noLoadCurrentA: ['no load current', 'idle current'],
  channelCurrentA: ['current', 'amps', 'current per channel'],
  channelPowerW: ['power', 'watts', 'power per channel'],
  min: ['min', 'lowest', 'from'],
  max: ['max', 'highest', 'to'],
  quantity: ['meaning', 'quantity'],
  scale: ['factor', 'scale'],
  runsGood: ['good for'],
  diameterMm: ['diameter'],
}

/** The fields of a collection that a list can fill, what it is called first. */
export function kitColumns(collection: KitCollection): KitColumn[] {
  const { fields } = COLLECTIONS.kit[collection]
  return Object.keys(fields)
    .filter((f) => !KEPT_ELSEWHERE.has(f) && !KEPT_ELSEWHERE.has(`${f}@${collection}`))
    .map((field): KitColumn => {
      const face = describeField('kit', collection, field)
      return {
        ...face,
        field,
        ref: isRefField(field) ? field : null,
        own: OWN.has(field),
        share: isShare(collection, field),
      }
    })
    .filter((c) => c.kind !== 'other')
    .sort((a, b) => Number(b.field === nameField(collection)) - Number(a.field === nameField(collection)))
}

/** The field that says what a thing of this collection is called. */
export function nameField(collection: KitCollection): string {
  const { fields } = COLLECTIONS.kit[collection]
  return 'label' in fields ? 'label' : 'name' in fields ? 'name' : 'text'
}

/** A header's text apart from the unit that may stand behind it: `Weight (g)`, `Weight [g]`, `Weight, g`. */
export function splitHeader(header: string): { name: string; unit: string } {
  const m = /^(.*?)\s*(?:[([]\s*([^()[\]]+?)\s*[)\]]|,\s*(\S+))\s*$/.exec(header)
  return m ? { name: m[1] ?? '', unit: m[2] ?? m[3] ?? '' } : { name: header, unit: '' }
}

/** The column that a word names, if it names just one better than any other. */
export function columnNamed(columns: readonly KitColumn[], word: string): KitColumn | null {
  const wanted = fold(word)
  if (wanted === '') return null
  const exact = columns.filter((c) => fold(c.label) === wanted)
  if (exact.length === 1) return exact[0] ?? null
  const also = columns.filter((c) => (ALSO[c.field] ?? []).includes(wanted))
  if (also.length > 0) return also[0] ?? null
  const begins = columns.filter((c) => fold(c.label).startsWith(`${wanted} `))
  return begins.length === 1 ? (begins[0] ?? null) : null
}
