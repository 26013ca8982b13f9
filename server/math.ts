import { readFileSync } from 'node:fs'
import type { z } from 'zod'
import {
  carSchema,
  gearChoiceSchema,
  gearingSweep,
  isAbsent,
  ledgerNames,
  ledgerSlots,
  ledgerSum,
  RangeProblem,
  simulateLap,
  simulateRace,
  simulateStraight,
  straightSchema,
  trackSchema,
  type LapRun,
} from '../lib/setup-math'

const usage = `Setup math for scripts: JSON in, JSON out.

  npm run -s math -- lap car.json track.json
  npm run -s math -- straight car.json straight.json
  npm run -s math -- race car.json track.json [seconds, 300 when left out]
  npm run -s math -- sweep car.json track.json gears.json

  --ledger prints where a lap's energy goes as a table instead.
  --no-trace leaves the trace out. A file named - is read from the standard input.
  Ends with 0 when there is an answer, 1 when the question has none, 2 when it is not understood.`

/** A complaint for the caller: file, place, what is wrong. */
class Unclear extends Error {}

function read<T>(name: string | undefined, what: string, schema: z.ZodType<T>): T {
  if (name === undefined) throw new Unclear(`${what}: no file is named.\n\n${usage}`)
  let text: string
  try {
    text = readFileSync(name === '-' ? 0 : name, 'utf8')
  } catch (error) {
    throw new Unclear(
      `${what} ${name}: cannot be read (${error instanceof Error ? error.message : 'unknown reason'})`,
    )
  }
  let json: unknown
  try {
    json = JSON.parse(text)
  } catch (error) {
    throw new Unclear(
      `${what} ${name}: is not JSON (${error instanceof Error ? error.message : 'unknown reason'})`,
    )
  }
  const parsed = schema.safeParse(json)
  if (parsed.success) return parsed.data
  const lines = parsed.error.issues.map((i) => `  ${i.path.join('.') || 'the whole'}: ${i.message}`)
  throw new Unclear(`${what} ${name}: does not have the right shape\n${lines.join('\n')}`)
}

/** One line a loss, J and W and its share, then the sum beside what the pack gave. */
function ledgerTable({ energy, timeS }: LapRun): string {
  const line = (name: string, joules: number) =>
    `${name.padEnd(32)} ${joules.toFixed(2).padStart(10)} J ${(joules / timeS).toFixed(2).padStart(8)} W ${((100 * joules) / energy.packJ).toFixed(2).padStart(7)}%`
  const lines = ledgerSlots.flatMap((slot) =>
    slot === 'packJ' ? [] : [line(ledgerNames[slot], energy[slot])],
  )
  return [
    ...lines,
    line('Change of kinetic energy', energy.kineticJ),
    line('Sum', ledgerSum(energy)),
    line('From the pack', energy.packJ),
  ].join('\n')
}

function answer(args: readonly string[]): unknown {
  const trace = !args.includes('--no-trace')
  const unknown = args.find((a) => a.startsWith('--') && a !== '--no-trace' && a !== '--ledger')
  if (unknown) throw new Unclear(`${unknown}: not an option here.\n\n${usage}`)
  const [command, carFile, secondFile, third] = args.filter((a) => !a.startsWith('--'))
  const car = () => read(carFile, 'car', carSchema)
  const track = () => read(secondFile, 'track', trackSchema)
  switch (command) {
    case 'lap': {
      const lap = simulateLap(car(), track(), { trace: trace && !args.includes('--ledger') })
      return args.includes('--ledger') && !isAbsent(lap) ? ledgerTable(lap) : lap
    }
    case 'straight': {
      const run = simulateStraight(car(), read(secondFile, 'straight', straightSchema))
      return trace || isAbsent(run) ? run : { ...run, trace: [] }
    }
    case 'race': {
      const raceSeconds = third === undefined ? 300 : Number(third)
      if (!Number.isFinite(raceSeconds)) throw new Unclear(`seconds ${third}: is not a number`)
      return simulateRace(car(), track(), { raceSeconds })
    }
    case 'sweep':
      return gearingSweep(car(), track(), read(third, 'gears', gearChoiceSchema))
    default:
      throw new Unclear(command === undefined ? usage : `${command}: not a command here.\n\n${usage}`)
  }
}

try {
  const result = answer(process.argv.slice(2))
  process.stdout.write(`${typeof result === 'string' ? result : JSON.stringify(result, null, 1)}\n`)
  if (isAbsent(result)) {
    console.error(`no answer: ${result.reason}`)
    process.exitCode = 1
  }
} catch (error) {
  if (!(error instanceof Unclear) && !(error instanceof RangeProblem)) throw error
  console.error(error.message)
  process.exitCode = 2
}
