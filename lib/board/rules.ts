import * as z from 'zod/mini'
import { EQUAL_PLACES, NO_STARTS, ROUND_SCORES, TIE_KEYS } from '../core/standings-terms'
import { choice, flag, integer, json, number, title } from './field'

/** How the marshal of a heat is found. Rules differ between meetings, so they are data. */
export const MARSHAL_RULES = ['after-own-heat', 'table', 'none'] as const

const tieChainSchema = z.array(z.enum(TIE_KEYS)).check(z.maxLength(TIE_KEYS.length))
export const pointsTableSchema = z
  .array(z.number().check(z.minimum(0), z.maximum(10000)))
  .check(z.maxLength(200))
/**
 * What a class of the rule book fixes. All of it is data because bodies and years differ (weights, voltage limits and their tolerance,
 * counting rounds). Kept in the kit as a rule sheet, copied into a meeting's class so that a past meeting keeps its own rules.
 */
export const ruleFields = {
  name: title('Class'),
  drive: choice('Driven wheels', ['2wd', '4wd']),
  motorLimit: choice('Motor limit', ['modified', 'stock']),
  cells: integer('Cells in series', 1, 6),
  voltageLimitV: number('Voltage limit', 1, 30, 'V'),
  voltageToleranceV: number('Voltage tolerance', 0, 1, 'V'),
  minimumWeightG: integer('Minimum weight', 0, 10000, 'g'),
  raceSeconds: integer('Race length', 30, 3600, 's'),
  dynamicTimingAllowed: flag('Dynamic timing allowed'),
  maxChargeC: number('Charge rate cap', 0.1, 20, 'C'),
  maxTireSets: integer('Tire sets per meeting', 0, 50),
  countingRounds: integer('Rounds that count', 1, 20),
  pointsTable: json('Points table', pointsTableSchema),
  tieChain: json('Tie rules', tieChainSchema),
  finalLegs: integer('Legs of a final', 1, 5),
  countingLegs: integer('Legs that count', 1, 5),
  /** How results become places (`lib/card/standings/class-rules.ts` has what counts where one of these is empty). */
  roundScore: choice('Rounds are scored by', ROUND_SCORES),
  equalPlaces: choice('Equal results in a round', EQUAL_PLACES),
  noStart: choice('A round without a start', NO_STARTS),
  legScore: choice('Legs are scored by', ROUND_SCORES),
  legTieChain: json('Tie rules of a final', tieChainSchema),
  finalSize: integer('Cars in a final', 2, 60),
  bumpUps: integer('Move up from the final below', 0, 20),
  marshalRule: choice('Marshal rule', MARSHAL_RULES),
} as const
