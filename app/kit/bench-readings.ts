import type { FieldGroup } from '@/app/record/record-form'

/** Full throttle with the car on a stand: with the motor's own no-load reading it tells what the driveline takes. */
export const WHEELS_UP: FieldGroup = {
  title: 'Bench reading, wheels up',
  caution: 'wheels',
  fields: [
    { field: 'wheelsUpCurrentA' },
    { field: 'wheelsUpRpm' },
    { field: 'wheelsUpTimingDeg' },
    { field: 'wheelsUpPinion' },
  ],
}

/** The motor alone, at two timings: Kv, its gain per degree, and how the loss rises. */
export const NO_LOAD: readonly FieldGroup[] = [
  {
    title: 'Bench reading, motor alone',
    caution: 'motor',
    fields: [{ field: 'noLoadTimingDeg' }, { field: 'noLoadVolts' }, { field: 'noLoadRpm' }],
  },
  {
    title: 'The same at another timing',
    fields: [
      { field: 'secondTimingDeg' },
      { field: 'secondVolts' },
      { field: 'secondRpm' },
      { field: 'secondCurrentA' },
    ],
  },
]
