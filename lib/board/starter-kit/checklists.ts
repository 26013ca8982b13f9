import type { CheckFact, ChecklistKind } from '../kit-collections'

export interface StarterChecklist {
  id: string
  name: string
  kind: ChecklistKind
  items: readonly StarterChecklistItem[]
}
export interface StarterChecklistItem {
  id: string
  text: string
  /** Where hands can get hurt. Says what to do and to whose word it gives way. */
  caution?: string
  /** The board knows whether it is so. */
  fact?: CheckFact
}

const WHEELS =
  'Wheels can spin up without warning. Car on a stand, fingers, sleeves and hair away from wheels and gears.'
const LITHIUM =
  'Never charge, fit or run a pack that is swollen, dented, torn or warm at rest. Charge only where you can watch it, on a fireproof surface. The pack maker’s instructions and the event’s rules come first.'
const HOT =
  'Motor can, speed control and pack leads can burn. Measure without touching. Let them cool before you work on them.'
const EVENT = 'The event’s own rules and its inspectors decide. This list only helps you get ready for them.'

/**
 * Lists that a new team starts with and makes its own. All of them are common practice, no source; the order of the calibration is the
 * usual one of programmable speed controls, and its first item sends the reader to the maker's own instructions.
 */
export const STARTER_CHECKLISTS = [
  {
    id: 'calibration',
    name: 'Calibrate the speed control',
    kind: 'calibration',
    items: [
      {
        id: 'calibration-stand',
        text: 'Car on the stand, driven wheels off the ground. If the maker’s instructions differ, follow them.',
        caution: WHEELS,
      },
      { id: 'calibration-transmitter-first', text: 'Transmitter on first, then the car.' },
      {
        id: 'calibration-end-points',
        text: 'Throttle and brake end points 100/100, throttle trim zero, this car’s model memory selected.',
      },
      { id: 'calibration-start', text: 'Start the calibration the way the maker describes.' },
      { id: 'calibration-neutral', text: 'Neutral: trigger released, confirmed.' },
      {
        id: 'calibration-full-throttle',
        text: 'Full throttle: held to the stop, confirmed.',
        caution: WHEELS,
      },
      { id: 'calibration-full-brake', text: 'Full brake: held to the stop, confirmed.' },
      {
        id: 'calibration-reverse-channel',
        text: 'Full throttle was found. If not, reverse the throttle channel at the transmitter and repeat from neutral.',
      },
      { id: 'calibration-power-cycle', text: 'Off, wait until it is dark, on again: transmitter first.' },
      {
        id: 'calibration-read-back',
        text: 'Read back: quiet in neutral, full throttle and full brake reached, in the right direction.',
        caution: WHEELS,
      },
    ],
  },
  {
    id: 'before-staging',
    name: 'Before staging',
    kind: 'before-staging',
    items: [
      {
        id: 'before-staging-card',
        text: 'Everything the card asks for is in the car; speed-control values were read back.',
        fact: 'fitted',
      },
      {
        id: 'before-staging-pack',
        text: 'The planned pack is in and held down, plug pushed all the way in, voltage measured and within the class limit.',
        fact: 'powered',
        caution: LITHIUM,
      },
      {
        id: 'before-staging-tires',
        text: 'The planned tires are on, glued all the way around, wheel nuts tight.',
        fact: 'shod',
      },
      {
        id: 'before-staging-mesh',
        text: 'Drive train turns by hand a full turn without a tight spot.',
        caution: 'Pack unplugged while fingers are near gears.',
      },
      { id: 'before-staging-screws', text: 'Nothing loose: links, arms, dampers, motor screws, servo horn.' },
      {
        id: 'before-staging-directions',
        text: 'Right model memory; steering, throttle and brake work in the right direction; failsafe brakes.',
        caution: WHEELS,
      },
      { id: 'before-staging-transmitter', text: 'Transmitter charged.' },
      {
        id: 'before-staging-transponder',
        text: 'Transponder in and lit, and it is the number entered.',
      },
      { id: 'before-staging-body', text: 'Body and wing on, car number on it, nothing rubs at full lock.' },
    ],
  },
  {
    id: 'after-run',
    name: 'After the run',
    kind: 'after-run',
    items: [
      {
        id: 'after-run-temperatures',
        text: 'Motor and speed control measured within a minute of the finish, written down.',
        caution: HOT,
      },
      {
        id: 'after-run-pack-out',
        text: 'Pack unplugged and out. Swollen, damaged or hot: mark it and put it in the safe place outdoors.',
        caution: LITHIUM,
      },
      { id: 'after-run-words', text: 'Result and the driver’s words written down.' },
      { id: 'after-run-clean', text: 'Dirt off; links, arms, pins, dampers and wheel nuts checked.' },
      { id: 'after-run-tires', text: 'Tires checked: wear, glue, splits; diameter if they look worn.' },
      {
        id: 'after-run-drive',
        text: 'Differentials, slipper or belts and bearings turn freely, nothing grates.',
        caution: 'Pack unplugged while fingers are near gears.',
      },
      {
        id: 'after-run-rest-voltage',
        text: 'Resting voltage after a few minutes; note the charge put back at the next charge.',
      },
    ],
  },
  {
    id: 'inspection',
    name: 'Inspection',
    kind: 'inspection',
    items: [
      {
        id: 'inspection-rules',
        text: 'This event’s rules for the class read; this card’s limits match them.',
        caution: EVENT,
      },
      { id: 'inspection-weight', text: 'Weight ready to run, transponder in, at or over the minimum.' },
      {
        id: 'inspection-voltage',
        text: 'Pack voltage within the limit, on the event’s own meter if it has one.',
      },
      {
        id: 'inspection-pack',
        text: 'Pack: cells as the class says, case whole, marks readable, no swelling.',
        caution: LITHIUM,
      },
      { id: 'inspection-motor', text: 'Motor as the class allows, marks readable.' },
      {
        id: 'inspection-timing',
        text: 'Boost and turbo as the class allows; off, and shown as off, where it does not.',
      },
      { id: 'inspection-body', text: 'Body, wing and bumper as the rules say; no sharp edges.' },
      {
        id: 'inspection-tires',
        text: 'Tires and treatment as the rules allow; sets marked where the rules limit them.',
      },
      { id: 'inspection-numbers', text: 'Car number on the body; transponder number as entered.' },
    ],
  },
] as const satisfies readonly StarterChecklist[]
