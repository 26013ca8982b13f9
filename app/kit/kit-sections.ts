import type { BoardView } from '@/lib/board'
import { NO_LOAD, WHEELS_UP } from './bench-readings'
import { compareNames } from '@/lib/core/compare-names'
import { choiceWord } from '@/app/words/choice-words'
import { nameOf } from '@/app/record/ref-options'
import { RULE_GROUPS } from '@/app/record/rule-fields'
import { joined, NOTE, withUnit, type KitSection } from './kit-section'
import { SERVICE_SECTIONS } from './service-sections'
import { WORD_SECTIONS } from './word-sections'

export const KIT_SECTIONS: readonly KitSection[] = [
  {
    slug: 'cars',
    collection: 'cars',
    label: 'Cars',
    one: 'car',
    about:
      'Each car has a card at every meeting. Its driver, motor and speed control decide what is on the card.',
    newFields: [{ field: 'name', isRequired: true }, { field: 'drive' }, { field: 'driverId' }],
    detail: (v, id) => {
      const car = v.cars.get(id)
      return joined(
        v.people.get(car?.driverId)?.name,
        car?.drive?.toUpperCase(),
        car?.carNumber && `car ${car.carNumber}`,
        car?.transponder && `transponder ${car.transponder}`,
      )
    },
    groups: [
      {
        fields: [
          { field: 'name', isRequired: true },
          { field: 'drive' },
          { field: 'driverId', none: 'Nobody yet' },
          { field: 'mechanicId', none: 'Nobody yet' },
          { field: 'carNumber' },
          { field: 'transponder', hint: 'Running order files find the car by this number.' },
        ],
      },
      {
        title: 'Drive train',
        fields: [
          { field: 'motorId', none: 'None yet' },
          { field: 'controllerId', none: 'None yet' },
          {
            field: 'internalRatio',
            hint: 'From the spur shaft to the wheels, from the car’s manual.',
          },
          { field: 'gearModuleMm', hint: 'Pitch 48 is module 0.529.' },
          { field: 'slotMinMm' },
          { field: 'slotMaxMm' },
          { field: 'driveEfficiency', hint: 'Share of the motor’s power that reaches the wheels.' },
        ],
      },
      {
        title: 'Weight and size',
        fields: [
          { field: 'weightG', hint: 'With pack, body and transponder.' },
          { field: 'frontSharePercent' },
          { field: 'wheelbaseMm' },
          { field: 'cgHeightMm' },
        ],
      },
      {
        title: 'For the lap model',
        fields: [{ field: 'dragAreaM2' }, { field: 'rollingCoefficient' }, { field: 'wheelInertiaKgM2' }],
      },
      WHEELS_UP,
      { title: 'Run so far', fields: [{ field: 'runs' }, { field: 'runMinutes' }] },
      NOTE,
    ],
  },
  {
    slug: 'packs',
    collection: 'packs',
    label: 'Packs',
    one: 'pack',
    about: 'Write a number on each pack’s case. The QR label opens its page, with one tap per state.',
    newFields: [
      { field: 'label', isRequired: true },
      { field: 'cells', initial: 2 },
      { field: 'capacityMah', initial: null },
    ],
    detail: (v, id) => {
      const p = v.packs.get(id)
      return joined(
        withUnit(p?.capacityMah, 'mAh'),
        p?.cells && `${p.cells} cells`,
        withUnit(p?.resistanceMilliohm, 'mΩ'),
        p?.cycles !== undefined && `${p.cycles} cycles`,
        p?.health && p.health !== 'good' && choiceWord(p.health).toLowerCase(),
      )
    },
    groups: [
      {
        fields: [
          { field: 'label', isRequired: true },
          { field: 'cells' },
          { field: 'capacityMah' },
          { field: 'resistanceMilliohm', hint: 'Of the whole pack.' },
          { field: 'resistanceAtC' },
          { field: 'maxChargeC', hint: 'The pack maker’s limit.' },
          { field: 'cycles' },
          { field: 'weightG' },
          { field: 'health' },
        ],
      },
      {
        title: 'When it leaves the races',
        fields: [{ field: 'leaveMilliohm' }, { field: 'leaveCapacityPercent' }],
      },
      NOTE,
    ],
  },
  {
    slug: 'tires',
    collection: 'tireSets',
    label: 'Tire sets',
    one: 'tire set',
    about: 'A set goes on a car together. Its runs are counted, so you see a worn set before you mount it.',
    newFields: [
      { field: 'label', isRequired: true },
      { field: 'axle', initial: 'set' },
      { field: 'drive' },
      { field: 'compound' },
    ],
    detail: (v, id) => {
      const t = v.tireSets.get(id)
      return joined(
        t?.compound,
        t?.tread,
        t?.axle && choiceWord(t.axle).toLowerCase(),
        t?.drive?.toUpperCase(),
        t?.runs !== undefined && `${t.runs}${t.runsGood ? ` of ${t.runsGood}` : ''} runs`,
      )
    },
    groups: [
      {
        fields: [
          { field: 'label', isRequired: true },
          { field: 'axle' },
          { field: 'drive' },
          { field: 'compound' },
          { field: 'insert' },
          { field: 'tread' },
          { field: 'diameterMm', hint: 'Measured on the car, tread included.' },
          { field: 'runs' },
          { field: 'runsGood', hint: 'After this many runs a set counts as worn.' },
        ],
      },
      NOTE,
    ],
  },
  {
    slug: 'motors',
    collection: 'motors',
    label: 'Motors',
    one: 'motor',
    about:
      'Speed, gearing and temperature projections use these figures. Get them from the maker’s sheet, or measure them.',
    newFields: [
      { field: 'name', isRequired: true },
      { field: 'kind' },
      { field: 'turns' },
      { field: 'kvRpmPerVolt' },
    ],
    detail: (v, id) => {
      const m = v.motors.get(id)
      return joined(
        m?.kind && choiceWord(m.kind),
        withUnit(m?.turns, 'T'),
        withUnit(m?.kvRpmPerVolt, 'rpm/V'),
      )
    },
    groups: [
      {
        fields: [
          { field: 'name', isRequired: true },
          { field: 'kind' },
          { field: 'turns' },
          { field: 'kvRpmPerVolt' },
          { field: 'resistanceMilliohm' },
          { field: 'noLoadCurrentA' },
          { field: 'rotorInertiaGCm2' },
        ],
      },
      ...NO_LOAD,
      NOTE,
    ],
  },
  {
    slug: 'controllers',
    collection: 'controllers',
    label: 'Speed controls',
    one: 'speed control',
    about: 'Each speed control has its own list of parameters, with the labels your programmer shows.',
    newFields: [{ field: 'name', isRequired: true }, { field: 'currentLimitA' }],
    detail: (v, id) => {
      const n = v.controllerParameters.live.filter((p) => p.controllerId === id).length
      const c = v.controllers.get(id)
      return joined(`${n} ${n === 1 ? 'parameter' : 'parameters'}`, withUnit(c?.currentLimitA, 'A'))
    },
    groups: [
      {
        fields: [
          { field: 'name', isRequired: true },
          { field: 'resistanceMilliohm' },
          { field: 'currentLimitA' },
        ],
      },
      NOTE,
    ],
  },
  {
    slug: 'chargers',
    collection: 'chargers',
    label: 'Chargers',
    one: 'charger',
    about: 'The charge plan uses their channels, within the limits of each channel and its supply.',
    newFields: [
      { field: 'label', isRequired: true },
      { field: 'channels', initial: 1 },
      { field: 'channelCurrentA' },
    ],
    detail: (v, id) => {
      const c = v.chargers.get(id)
      return joined(
        c?.channels && `${c.channels} ${c.channels === 1 ? 'channel' : 'channels'}`,
        withUnit(c?.channelCurrentA, 'A'),
        withUnit(c?.channelPowerW, 'W'),
        c?.supplyId && `on ${nameOf(v.supplies.get(c.supplyId))}`,
      )
    },
    groups: [
      {
        fields: [
          { field: 'label', isRequired: true },
          { field: 'channels' },
          { field: 'channelCurrentA' },
          { field: 'channelPowerW' },
          { field: 'supplyId', none: 'Mains, not shared' },
        ],
      },
      NOTE,
    ],
  },
  {
    slug: 'supplies',
    collection: 'supplies',
    label: 'Supplies',
    one: 'supply',
    about: 'Power supplies shared by chargers. The plan keeps the total within their power.',
    newFields: [{ field: 'label', isRequired: true }, { field: 'powerW' }],
    detail: (v, id) => {
      const n = v.chargers.live.filter((c) => c.supplyId === id).length
      return joined(withUnit(v.supplies.get(id)?.powerW, 'W'), `${n} ${n === 1 ? 'charger' : 'chargers'}`)
    },
    groups: [{ fields: [{ field: 'label', isRequired: true }, { field: 'powerW' }] }, NOTE],
  },
  {
    slug: 'people',
    collection: 'people',
    label: 'People',
    one: 'person',
    about: 'Who drives and who works on which car. Roles and phones are managed on the crew page.',
    newFields: [{ field: 'name', isRequired: true }],
    detail: (v, id) => {
      const cars = v.cars.live.filter((c) => c.driverId === id || c.mechanicId === id).map((c) => c.name)
      const role = v.people.get(id)?.role
      return joined(role ? choiceWord(role) : 'has not joined yet', cars.join(', '))
    },
    groups: [{ fields: [{ field: 'name', isRequired: true }] }, NOTE],
  },
  {
    slug: 'checklists',
    collection: 'checklists',
    label: 'Checklists',
    one: 'checklist',
    about:
      'Lists signed item by item: before staging, after the run, at inspection, or when a follow-up calls for one.',
    newFields: [
      { field: 'name', isRequired: true },
      { field: 'kind', isRequired: true, initial: 'before-staging' },
    ],
    detail: (v, id) => {
      const n = v.checklistItems.live.filter((i) => i.checklistId === id).length
      const kind = v.checklists.get(id)?.kind
      return joined(kind && choiceWord(kind), `${n} ${n === 1 ? 'item' : 'items'}`)
    },
    groups: [{ fields: [{ field: 'name', isRequired: true }, { field: 'kind' }] }],
  },
  {
    slug: 'follow-ups',
    collection: 'followUpRules',
    label: 'Follow-up rules',
    one: 'follow-up rule',
    about: 'What a change calls for: a new pinion, set the gear mesh; a new motor, recalibrate.',
    newFields: [{ field: 'name', isRequired: true, hint: 'What needs doing, as in “Set the gear mesh”.' }],
    detail: (v, id) => {
      const n = v.followUpRules.get(id)?.triggers?.length ?? 0
      return n === 0 ? 'nothing calls for it yet' : `called for by ${n} ${n === 1 ? 'value' : 'values'}`
    },
    groups: [
      {
        fields: [
          { field: 'name', isRequired: true },
          { field: 'checklistId', none: 'None, one signature is enough' },
          {
            field: 'closedBy',
            hint: 'Reading back: closes once every changed speed control value was read.',
          },
          { field: 'caution', multiline: true, wide: true, hint: 'Shown where the follow-up is signed.' },
        ],
      },
    ],
  },
  ...SERVICE_SECTIONS,
  ...WORD_SECTIONS,
  {
    slug: 'rules',
    collection: 'ruleSheets',
    label: 'Class rules',
    one: 'rule sheet',
    about:
      'What the rule book says for a class. Each meeting gets its own copy, so past meetings keep their rules. The event’s own rules come first.',
    newFields: [{ field: 'name', isRequired: true }, { field: 'drive' }, { field: 'motorLimit' }],
    detail: (v, id) => {
      const r = v.ruleSheets.get(id)
      return joined(
        r?.cells && `${r.cells} cells`,
        r?.voltageLimitV !== undefined && `up to ${r.voltageLimitV.toFixed(2)} V`,
        withUnit(r?.minimumWeightG, 'g'),
        r?.raceSeconds !== undefined && `${r.raceSeconds / 60} min`,
      )
    },
    groups: RULE_GROUPS,
  },
  {
    slug: 'tracks',
    collection: 'tracks',
    label: 'Tracks',
    one: 'track',
    about: 'Surface and grip, to find setups again. Straights and corners for the lap model.',
    newFields: [{ field: 'name', isRequired: true }, { field: 'surface' }],
    detail: (v, id) => {
      const t = v.tracks.get(id)
      return joined(
        t?.surface && choiceWord(t.surface),
        t?.grip !== undefined && `grip ${t.grip}`,
        t?.segments?.length && `${t.segments.length} pieces`,
      )
    },
    groups: [
      {
        fields: [
          { field: 'name', isRequired: true },
          { field: 'surface' },
          { field: 'grip', hint: '1 is ordinary clay.' },
          { field: 'measuredLapS' },
        ],
      },
      NOTE,
    ],
  },
]

export const sectionOf = (slug: string): KitSection | undefined => KIT_SECTIONS.find((s) => s.slug === slug)
export const sectionHref = (s: KitSection): string => `/kit/${s.slug}`
export const recordHref = (s: KitSection, id: string): string => `/kit/${s.slug}/${id}`

/** Live records of a section by their own order, then by name with its numbers counted. */
export function rowsOf(view: BoardView, s: KitSection): { id: string; name?: string; label?: string }[] {
  const rows: { id: string; name?: string; label?: string; order?: number }[] = [...view[s.collection].live]
  return rows.sort((a, b) => (a.order ?? 0) - (b.order ?? 0) || compareNames(nameOf(a), nameOf(b)))
}
