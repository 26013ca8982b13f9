import { expect, test } from 'vitest'
import {
  acceptRun,
  addNote,
  addRecord,
  assignPack,
  assignTires,
  assignValue,
  changeMotor,
  changeRecord,
  fitValue,
  putPackIn,
  putTiresOn,
  readPackVoltage,
  removeRecord,
  signCheck,
} from '@/lib/board'
import { acceptState, runDigest } from '@/lib/card'
import { runDigestOnBoard } from '@/lib/card/staging/run-digest-on-board'
import type { Result } from '@/lib/core/result'
import { must } from '../../support/must'
import { prepareRook, raceDay, type RaceDayBoard } from '../../support/race-day-board'
import { readDocs } from '../../support/read-docs'

const onServer = (d: RaceDayBoard) =>
  runDigestOnBoard(readDocs({ kit: d.docs.kit!, meeting: d.docs.meeting! }), d.runs.rook1)

function acceptAgain(d: RaceDayBoard): void {
  const digest = runDigest(d.view(), d.run(d.runs.rook1))
  must(acceptRun(d.as('driver', 'dana'), d.view(), { runId: d.runs.rook1, digest }))
  expect(acceptState(d.view(), d.run(d.runs.rook1))).toBe('valid')
}

/** Each thing that a driver accepts, and a change of it that is no other change as well. */
const COVERED: [string, (d: RaceDayBoard) => Result<unknown>][] = [
  [
    'an assigned value',
    (d) => assignValue(d.m, d.view(), { carId: d.rook, parameterId: 'pinion', value: 23 }),
  ],
  [
    'a value assigned for the first time',
    (d) => assignValue(d.m, d.view(), { carId: d.rook, parameterId: 'rideHeightFront', value: 14 }),
  ],
  ['a fitted value', (d) => fitValue(d.m, d.view(), { carId: d.rook, parameterId: 'pinion', value: 23 })],
  // Dialed in anew with the value it had: nothing differs but that it may not be saved.
  [
    'a read-back',
    (d) => fitValue(d.m, d.view(), { carId: d.rook, parameterId: `esc.${d.delay}`, value: 0.1 }),
  ],
  [
    'the motor',
    (d) => {
      const motorId = must(addRecord(d.m, 'kit', 'motors', { name: 'Spare' }))
      return changeMotor(d.m, d.view(), { carId: d.rook, motorId })
    },
  ],
  [
    // One without settings, so that no value goes with it.
    'the speed control',
    (d) => {
      const controllerId = must(addRecord(d.m, 'kit', 'controllers', { name: 'Plain' }))
      must(changeRecord(d.m, 'kit', 'cars', d.rook, { controllerId }))
      acceptAgain(d)
      return changeRecord(d.m, 'kit', 'cars', d.rook, { controllerId: null })
    },
  ],
  [
    'another motor in the place of the one accepted',
    (d) => {
      const put = (name: string) => {
        const motorId = must(addRecord(d.m, 'kit', 'motors', { name }))
        return changeMotor(d.m, d.view(), { carId: d.rook, motorId })
      }
      must(put('Sprint'))
      acceptAgain(d)
      return put('Spare')
    },
  ],
  [
    'another speed control without settings in the place of such a one',
    (d) => {
      const put = (name: string) =>
        changeRecord(d.m, 'kit', 'cars', d.rook, {
          controllerId: must(addRecord(d.m, 'kit', 'controllers', { name })),
        })
      must(put('Plain'))
      acceptAgain(d)
      return put('Other')
    },
  ],
  [
    'a setting of the speed control that is gone',
    (d) => removeRecord(d.m, 'kit', 'controllerParameters', d.delay),
  ],
  ['the pack assigned', (d) => assignPack(d.m, d.view(), { runId: d.runs.rook1, packId: 'P02' })],
  ['the pack in', (d) => putPackIn(d.m, d.view(), { runId: d.runs.rook1, packId: 'P02', restVoltageV: 8.4 })],
  ['the tires assigned', (d) => assignTires(d.m, d.view(), { runId: d.runs.rook1, tireSetId: 'T02' })],
  ['the tires on', (d) => putTiresOn(d.m, d.view(), { runId: d.runs.rook1, tireSetId: 'T02' })],
]

/** What is no matter of the accept. */
const NOT_COVERED: [string, (d: RaceDayBoard) => Result<unknown>][] = [
  ['a note', (d) => addNote(d.m, { about: d.rook, text: 'Quick over the table' })],
  ['a check that is signed', (d) => signCheck(d.m, { scopeId: d.runs.rook1, itemId: d.nuts, done: false })],
  ['a voltage of another pack', (d) => readPackVoltage(d.m, d.view(), { packId: 'P02', volts: 7.6 })],
  [
    'a value of another car',
    (d) => assignValue(d.m, d.view(), { carId: d.heron, parameterId: 'pinion', value: 20 }),
  ],
  [
    'a setting that the speed control has from now on, and no value of it',
    (d) => {
      const controllerId = d.view().cars.get(d.rook)?.controllerId ?? ''
      expect(controllerId).not.toBe('')
      return addRecord(d.m, 'kit', 'controllerParameters', {
        controllerId,
        label: 'Drag',
        min: 0,
        max: 20,
        step: 1,
      })
    },
  ],
  ['the pack of its next run', (d) => assignPack(d.m, d.view(), { runId: d.runs.rook2, packId: 'P02' })],
]

/** A board with Rook accepted, the spare pack and tires free and right for its class. */
function accepted(): RaceDayBoard {
  const d = raceDay()
  must(changeRecord(d.m, 'kit', 'packs', 'P02', { cells: 2 }))
  must(changeRecord(d.m, 'kit', 'tireSets', 'T02', { label: 'T02' }))
  prepareRook(d)
  expect(acceptState(d.view(), d.run(d.runs.rook1))).toBe('valid')
  return d
}

test('a run of which nothing is written, and one of a car that is not there, have digests of their own', () => {
  const d = raceDay()
  const bare = { runId: 'bare', carId: d.rook, run: undefined }
  const lost = { runId: 'bare', carId: 'gone', run: undefined }
  const packAlone = { ...d.run(d.runs.rook1), run: undefined }
  expect(onServer(d)).toBe(runDigest(d.view(), packAlone))
  must(assignPack(d.m, d.view(), { runId: d.runs.rook1, packId: 'P01' }))
  expect(onServer(d)).toBe(runDigest(d.view(), d.run(d.runs.rook1)))
  expect(new Set([bare, lost, packAlone, d.run(d.runs.rook1)].map((r) => runDigest(d.view(), r))).size).toBe(
    4,
  )
})

test.each(COVERED)('%s is covered by the accept: changed, it is void', (_, change) => {
  const d = accepted()
  must(change(d))
  expect(acceptState(d.view(), d.run(d.runs.rook1))).toBe('void')
})

test.each(NOT_COVERED)('%s is not covered: the accept stands', (_, change) => {
  const d = accepted()
  must(change(d))
  expect(acceptState(d.view(), d.run(d.runs.rook1))).toBe('valid')
})

test.each([...COVERED, ...NOT_COVERED])(
  'the server, which reads field by field, sees the same as a screen after %s',
  (_, change) => {
    const d = accepted()
    must(change(d))
    expect(onServer(d)).toBe(runDigest(d.view(), d.run(d.runs.rook1)))
  },
)
