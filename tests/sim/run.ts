/**
 * `npm run sim`: all states of who may write and of who may show, with our rules and with each of them broken; then race days in one process, with
 * the server's and the phones' own code. `--days 200 --seed 7`: so many days, from this seed on; `--mutants 60`: days for each mutant at most.
 */
import './days/simulated-time'
import { parseArgs } from 'node:util'
import { sayModels } from './say-models'

const { values } = parseArgs({
  options: {
    days: { type: 'string', default: '100' },
    seed: { type: 'string', default: '1' },
    mutants: { type: 'string', default: '60' },
  },
})
const areModelsGood = sayModels()
// Only now: what it imports must find the simulated clock.
const { sayRaceDays } = await import('./days/say-race-days')
const areDaysGood = await sayRaceDays(Number(values.seed), Number(values.days), Number(values.mutants))
process.exit(areModelsGood && areDaysGood ? 0 : 1)
