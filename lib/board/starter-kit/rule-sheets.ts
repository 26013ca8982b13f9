import type { FieldsIn } from '../collections'

type RuleSheet = { id: string } & FieldsIn<'kit', 'ruleSheets'>

/**
 * Two sheets to start from. Their figures are examples, not any body's rules: weights, voltage limits and what counts differ between bodies
 * and years, so the name of each sheet asks for the event's own. No points table: whether few or many points win is the event's choice too.
 */
const common = {
  motorLimit: 'modified',
  cells: 2,
  voltageLimitV: 8.4,
  voltageToleranceV: 0,
  raceSeconds: 300,
  dynamicTimingAllowed: true,
  countingRounds: 2,
  tieChain: ['best-result', 'second-best-result'],
  finalLegs: 3,
  countingLegs: 2,
  marshalRule: 'after-own-heat',
} as const

export const STARTER_RULE_SHEETS: readonly RuleSheet[] = [
  {
    id: 'example-2wd',
    name: 'Example 2WD modified: replace with the event’s rules',
    drive: '2wd',
    minimumWeightG: 1500,
    ...common,
    tieChain: [...common.tieChain],
  },
  {
    id: 'example-4wd',
    name: 'Example 4WD modified: replace with the event’s rules',
    drive: '4wd',
    minimumWeightG: 1600,
    ...common,
    tieChain: [...common.tieChain],
  },
]
