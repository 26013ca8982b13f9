import type { FieldGroup } from './forms/record-form'

/** Full throttle with the car on a stand: with the motor's own no-load reading it tells what the driveline takes. */
export const WHEELS_UP: FieldGroup = {
  title: 'Bench reading, wheels up',
  caution: 'wheels',
  fields: [
    {
      field: 'wheelsUpCurrentA',
      hint: 'At full throttle, once it is steady, less what receiver and fan draw at rest. A second or two is enough: tires grow and throw what is on them.',
    },
    { field: 'wheelsUpRpm', hint: 'Of the motor, as the speed control logs it.' },
    { field: 'wheelsUpTimingDeg', hint: 'Can and speed control together. Empty: as the card asks for.' },
    { field: 'wheelsUpPinion', hint: 'Empty: as the card asks for.' },
  ],
}

/** The motor alone, at two timings: Kv, its gain per degree, and how the loss rises. */
export const NO_LOAD: readonly FieldGroup[] = [
  {
    title: 'Bench reading, motor alone',
    caution: 'motor',
    fields: [
      { field: 'noLoadTimingDeg', hint: 'Timing at which Kv and no-load current were read.' },
      { field: 'noLoadVolts', hint: 'At the motor’s leads while it ran.' },
      { field: 'noLoadRpm', hint: 'With voltage and current it gives Kv, where none is entered.' },
    ],
  },
  {
    title: 'The same at another timing',
    fields: [
      { field: 'secondTimingDeg', hint: 'Ten degrees apart or more.' },
      { field: 'secondVolts' },
      { field: 'secondRpm' },
      { field: 'secondCurrentA' },
    ],
  },
]
