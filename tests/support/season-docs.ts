import * as Y from 'yjs'
import { CAR_PARAMETERS, escParameterId, joinId, writeField, writeStarterKit } from '@/lib/board'
import type { Json } from '@/lib/core/json'
import { draws } from '../referee/draws'

/** How big a season is. */
export interface SeasonSize {
  cars: number
  packs: number
  tracks: number
  meetings: number
  /** Of all meetings together. */
  runs: number
}
const DAY = 86_400_000
const FIRST_DAY = Date.UTC(2026, 2, 7, 9)
const SURFACES = ['clay', 'dusty-dirt', 'carpet', 'astroturf'] as const
const WORDS = ['word-loose', 'word-pushes', 'word-lazy', 'word-bottoms', 'word-good'] as const
const PHASES = ['entry', 'middle', 'exit'] as const
const SAID = [
  'Loose on entry, calm on power',
  'Pushes in the long corners',
  'Bottoms over the table',
  'Better than the run before, leave it',
  'Short of gear on the back straight',
  'Drives by itself',
  'Nervous when the dust came',
]
const PLACES = ['first hairpin', 'sweeper', 'table', 'back straight', 'last corner']
/** Values that a speed control's list has. */
const ESC_VALUES = 16

export const meetingIdOf = (n: number): string => `meeting${n}`
const two = (n: number) => String(n + 1).padStart(2, '0')
const at = (i: number) => FIRST_DAY + i * 7 * DAY

/** A kit of that size. */
export function seasonKit(size: SeasonSize): Y.Doc {
  const kit = new Y.Doc()
  writeStarterKit(kit)
  kit.transact(() => {
    const put = (collection: string, id: string, fields: Record<string, Json>) => {
      for (const [field, value] of Object.entries(fields)) writeField(kit, collection, id, field, value)
    }
    for (let i = 0; i < 6; i++) put('people', `driver${i}`, { name: `Driver ${two(i)}`, role: 'driver' })
    put('controllers', 'esc', { name: 'Plain' })
    for (let i = 0; i < ESC_VALUES; i++)
      put('controllerParameters', `esc${i}`, {
        controllerId: 'esc',
        label: `Setting ${i + 1}`,
        unit: '%',
        quantity: 'none',
        scale: 1,
        order: i,
      })
    for (let i = 0; i < size.cars; i++)
      put('cars', `car${i}`, {
        name: `Car ${two(i)}`,
        driverId: `driver${i % 6}`,
        drive: i % 2 ? '2wd' : '4wd',
        controllerId: 'esc',
        motorId: `motor${i % 4}`,
        order: i,
      })
    for (let i = 0; i < 4; i++) put('motors', `motor${i}`, { name: `Motor ${two(i)}`, turns: 6 + i })
    for (let i = 0; i < size.packs; i++)
      put('packs', `pack${i}`, { label: `P${two(i)}`, cells: 2, capacityMah: 6000, order: i })
    for (let i = 0; i < size.cars; i++)
      put('tireSets', `tires${i}`, { label: `T${two(i)}`, compound: 'soft' })
    for (let i = 0; i < size.tracks; i++)
      put('tracks', `track${i}`, {
        name: `Track ${two(i)}`,
        surface: SURFACES[i % SURFACES.length] ?? 'clay',
      })
    for (let i = 0; i < size.meetings; i++)
      put('meetings', meetingIdOf(i), {
        name: `Meeting ${two(i)}`,
        startsAt: at(i),
        trackId: `track${i % size.tracks}`,
      })
  })
  return kit
}

/** The n-th meeting: two of our cars in a heat with six others, every run with a record of all values, a result, laps, temperatures, and now and then words. */
export function seasonMeeting(size: SeasonSize, n: number): Y.Doc {
  const { even: draw } = draws(1000 + n)
  const doc = new Y.Doc()
  const runs = Math.floor(size.runs / size.meetings) + (n < size.runs % size.meetings ? 1 : 0)
  const startsAt = at(n)
  doc.transact(() => {
    const put = (collection: string, id: string, fields: Record<string, Json>) => {
      for (const [field, value] of Object.entries(fields)) writeField(doc, collection, id, field, value)
    }
    put('meeting', 'meeting', {
      name: `Meeting ${two(n)}`,
      startsAt,
      trackId: `track${n % size.tracks}`,
    })
    put('classes', 'class', { name: 'Modified', raceSeconds: 300 })
    put('conditions', 'morning', {
      airC: { v: 12 + (n % 15), by: 'driver0', at: startsAt },
      trackC: { v: 15 + (n % 20), by: 'driver0', at: startsAt },
    })
    const perRound = Math.max(1, size.cars)
    for (let i = 0; i < runs; i++) {
      const round = Math.floor(i / perRound)
      if (i % perRound === 0)
        put('rounds', `r${round}`, { name: `Qualifying ${round + 1}`, kind: 'qualifying', order: round })
      const heat = Math.floor(i / 2)
      const heatId = `h${heat}`
      const startAt = startsAt + heat * 8 * 60_000
      if (i % 2 === 0) {
        put('heats', heatId, {
          roundId: `r${round}`,
          classId: 'class',
          number: heat + 1,
          order: heat,
          plannedStart: startAt,
          startedAt: { v: startAt, by: 'driver0', at: startAt },
          finishedAt: { v: startAt + 310_000, by: 'driver0', at: startAt + 310_000 },
        })
        for (let k = 0; k < 6; k++)
          put('entries', `x${heat}-${k}`, {
            heatId,
            driverName: `Other ${heat * 6 + k}`,
            carNumber: String(k + 1),
            transponder: String(1_000_000 + heat * 6 + k),
            gridPosition: k + 3,
          })
      }
      putRun(put, draw, size, { i, heatId, startAt })
    }
    put('notes', 'note0', {
      about: 'meeting',
      text: { v: `Bring water, day ${n + 1}`, by: 'driver0', at: startsAt },
    })
  })
  return doc
}

function putRun(
  put: (collection: string, id: string, fields: Record<string, Json>) => void,
  draw: () => number,
  size: SeasonSize,
  { i, heatId, startAt }: { i: number; heatId: string; startAt: number },
): void {
  const by = 'driver0'
  const pick = <T>(from: readonly T[]): T => from[Math.floor(draw() * from.length)] as T
  const stamp = (v: Json, ms = 400_000): Json => ({ v, by, at: startAt + ms })
  const car = i % size.cars
  const runId = `run${i}`
  const packId = `pack${Math.floor(draw() * size.packs)}`
  const pace = 20 + (car % 7) * 0.2 + draw()
  const laps = Array.from({ length: 14 }, () => Number((pace + draw() * 0.8).toFixed(2)))
  const values: Record<string, Json> = {
    motor: { assigned: null, fitted: `motor${car % 4}`, readBack: true },
  }
  const hold = (id: string, v: Json, readBack: boolean) =>
    void (values[id] = { assigned: v, fitted: v, readBack })
  for (const p of CAR_PARAMETERS)
    hold(
      p.id,
      p.kind === 'text'
        ? pick(['soft', 'medium', 'hard'])
        : Number((((p.min ?? 0) + (p.max ?? 10)) / 2 + Math.floor(draw() * 6) * (p.step ?? 1)).toFixed(3)),
      false,
    )
  for (let k = 0; k < ESC_VALUES; k++) hold(escParameterId(`esc${k}`), Math.floor(draw() * 20) * 5, true)
  put('entries', runId, {
    heatId,
    carId: `car${car}`,
    driverName: `Driver ${two(car % 6)}`,
    gridPosition: (i % 2) + 1,
  })
  put('runs', runId, {
    packId: stamp(packId, -9e5),
    packIn: stamp(packId, -6e5),
    tireSetId: stamp(`tires${car}`, -9e5),
    tiresOn: stamp(`tires${car}`, -6e5),
    record: stamp(
      {
        frozenAt: startAt,
        values,
        packId,
        tireSetId: `tires${car}`,
        missing: [],
        accepted: true,
        digest: 'generated',
      },
      0,
    ),
    result: stamp({
      laps: laps.length,
      seconds: Number(laps.reduce((a, b) => a + b, 0).toFixed(2)),
      position: 1 + (i % 8),
      bestLapS: Math.min(...laps),
    }),
    laps: stamp(laps),
    motorC: stamp(60 + Math.round(30 * draw())),
    motorAfterMin: stamp(1),
    chargeBackMah: stamp(2500 + Math.round(900 * draw())),
    restVoltageV: stamp(Number((7.5 + 0.2 * draw()).toFixed(2))),
  })
  if (draw() < 0.4) put('runs', runId, { driverWords: stamp(`${pick(SAID)}, ${pick(PLACES)}, run ${i + 1}`) })
  if (draw() < 0.4)
    put('remarks', joinId(runId, 'first'), {
      said: stamp({
        wordId: pick(WORDS),
        place: pick(PLACES),
        phase: pick(PHASES),
        strength: 1 + Math.floor(draw() * 3),
      }),
    })
}
