import { ledgerSum, simulateLap } from '@/lib/setup-math'
import { compareMeetings } from '@/tests/support/compare-needed'
import { ledgerCars, ledgerTracks } from '../support/ledger-cars'
import { there } from '../support/there'
import { referenceGroups } from './all-rows'
import { tolerances, withinTolerance, type Tolerance } from './tolerances'

/** Prints every outside value beside the library's answer and what is allowed. Ends with 1 when one is missed. */
const digits = (x: number): string => (Number.isInteger(x) ? String(x) : x.toPrecision(10).replace(/0+$/, ''))
const MEETINGS = 500
let missed = 0
let count = 0
const bases = new Map<string, number>()
for (const [group, rows] of Object.entries(referenceGroups)) {
  console.log(`\n${group}`)
  for (const row of rows) {
    const model = row.model()
    const fits = withinTolerance(row.tolerance, model, row.outside)
    const t: Tolerance = tolerances[row.tolerance]
    const allowed = t.relative !== undefined ? `${t.relative} of it` : `${t.absolute} ${row.unit}`
    const off = row.outside === 0 ? model : model / row.outside - 1
    count++
    if (!fits) missed++
    bases.set(row.source.basis, (bases.get(row.source.basis) ?? 0) + 1)
    console.log(
      `  ${fits ? 'ok    ' : 'MISSED'} ${row.what.padEnd(58)} model ${digits(model).padStart(14)}  outside ${digits(row.outside).padStart(14)} ${row.unit.padEnd(6)}` +
        ` off ${off.toExponential(1).padStart(8)}  allowed ${allowed}  [${row.source.name}; ${row.source.basis}]`,
    )
  }
}
/** What of a lap's energy the ledger's lines leave over, at most. */
const CLOSES_WITHIN = 1e-3
console.log('\nthe ledger of a lap: share of the pack’s energy that its lines leave over, allowed 0.1%')
console.log(
  `         ${''.padEnd(12)}${Object.keys(ledgerTracks)
    .map((t) => t.padStart(12))
    .join('')}`,
)
for (const [name, car] of Object.entries(ledgerCars)) {
  const left = Object.values(ledgerTracks).map((track) => {
    const { energy } = there(simulateLap(car, track, { trace: false }))
    return ledgerSum(energy) / energy.packJ - 1
  })
  const fits = left.every((x) => Math.abs(x) < CLOSES_WITHIN)
  if (!fits) missed++
  const shares = left.map((x) => `${(100 * x).toExponential(1)}%`.padStart(12)).join('')
  console.log(`  ${fits ? 'ok    ' : 'MISSED'} ${name.padEnd(12)}${shares}`)
}
console.log('\nwhat is needed, against going through every case and every own result by hand')
for (const by of ['result', 'place'] as const) {
  try {
    const states = compareMeetings(by, MEETINGS, 20260912)
    const said = Object.entries(states).map(([state, n]) => `${n} ${state}`)
    console.log(`  ok     ${MEETINGS} random small meetings by ${by}, equal in all (${said.join(', ')})`)
  } catch (e) {
    missed++
    console.log(`  MISSED by ${by}: ${String(e)}`)
  }
}
console.log('\ntolerances')
for (const [name, t] of Object.entries<Tolerance>(tolerances)) {
  console.log(
    `  ${name.padEnd(20)} ${(t.relative !== undefined ? `${t.relative} relative` : `${t.absolute} absolute`).padEnd(16)} ${t.reason}`,
  )
}
console.log(
  `\n${count} outside values, ${missed} missed (${[...bases].map(([b, n]) => `${n} ${b}`).join(', ')})`,
)
process.exitCode = missed ? 1 : 0
