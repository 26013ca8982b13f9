import type { DemoPersonId } from '../roster'
import {
  accept,
  afterRunActs,
  assign,
  chargeActs,
  closeFollowUps,
  finish,
  fit,
  packIn,
  promisePack,
  readBack,
  signList,
  start,
  tiresOn,
} from '../seed/run-acts'
import { outcomeOf } from '../seed/outcomes'
import { MINUTE, write, type Act } from '../seed/story'
import { acceptIs, frozen, ready, type Step } from './step'

const PETRA = 'petra-amsel'
const ILSE = 'ilse-brandt'
const BAS = 'bas-verhoef'

/** The field that two people write at the same time, one of them without network. */
export const CONTESTED = { collection: 'cardValues', recordId: 'curlew.brake', field: 'fitted' } as const
export const CONTESTED_VALUES = [90, 91] as const

const one =
  <A extends unknown[]>(
    by: DemoPersonId,
    make: (at: number, by: DemoPersonId, ...rest: A) => Act,
    ...rest: A
  ) =>
  (t: number): Act[] => [make(t, by, ...rest)]

const CHARGE = { from: 5.6, to: 39.6 }
/** The charge of Wren's pack: its plan, its beginning or its end, at `at` minutes. */
const charge = (part: 'plan' | 'begin' | 'end', at: number) => (t: number) => {
  const moment = (minutes: number) => t + (minutes - at) * MINUTE
  const acts = chargeActs(
    {
      id: 'charge-q3-wren',
      packId: 'p01',
      runId: 'q3-wren',
      afterRunId: 'q1-wren',
      chargerId: 'charger-b',
      channel: 1,
      currentA: 6,
      from: moment(CHARGE.from),
      to: moment(CHARGE.to),
      mah: 2510,
      cycles: 8,
    },
    ILSE,
    moment(60),
  )
  const index = { plan: 0, begin: 1, end: 2 }[part]
  return acts.slice(index, index + 1)
}

/** What is taken down after a run, the part of one person at a time. */
const afterRun =
  (
    by: DemoPersonId,
    carId: string,
    packId: string,
    tireSetId: string,
    tireRuns: number,
    driverId: DemoPersonId,
    mechanicId: DemoPersonId,
  ) =>
  (t: number): Act[] =>
    afterRunActs({
      runId: `q2-${carId}`,
      packId,
      tireSetId,
      tireRuns,
      mechanicId,
      driverId,
      finishAt: t,
      outcome: (view) => outcomeOf(view, `q2-${carId}`, 3, 1),
    })
      .filter((act) => act.by === by)
      .map((act) => ({ ...act, at: t }))

/**
 * An hour of the demo's day, from the moment in which it opens: what is loose is closed, a phone is away and comes back, an accept is given,
 * undone by a change and given again, and five heats are run.
 */
export const HOUR_STEPS: readonly Step[] = [
  {
    at: 0.4,
    who: ILSE,
    says: 'reads Rook’s turbo wait back after a power cycle and signs the follow-up',
    acts: (t) => [readBack(t, ILSE, 'rook', 'esc.withy-turbo-wait', 520), closeFollowUps(t, ILSE, 'rook')],
  },
  { at: 1.2, who: PETRA, says: 'stamps the finish of heat 4', acts: one(PETRA, finish, 'q2-h04') },
  {
    at: 1.4,
    who: BAS,
    says: 'signs again that Kestrel’s card is fitted: its camber was changed since',
    acts: one(BAS, signList, 'q2-kestrel', 'before-staging'),
  },
  {
    at: 1.6,
    who: 'anouk-reyes',
    says: 'looks at the changed camber and accepts Kestrel again',
    acts: one('anouk-reyes', accept, 'q2-kestrel'),
    expect: ready('q2-kestrel'),
  },
  {
    at: 2.2,
    who: ILSE,
    says: 'fits Rook’s 22 t pinion, which opens the gear mesh and the rollout',
    acts: one(ILSE, fit, 'rook', 'pinion', 22),
    expect: {
      says: 'Rook’s gear mesh is to be re-set',
      holds: (view) => view.followUps.get('rook.gear-mesh')?.opened?.v !== undefined,
    },
  },
  {
    at: 2.6,
    who: PETRA,
    says: 'gives Heron P08, because P12 was assigned twice',
    acts: one(PETRA, promisePack, 'q2-heron', 'p08'),
  },
  {
    at: 3.4,
    who: ILSE,
    says: 're-sets the mesh, checks the rollout, signs both',
    acts: one(ILSE, closeFollowUps, 'rook'),
  },
  {
    at: 4.6,
    who: ILSE,
    says: 'plans a charge for Wren’s P01',
    acts: charge('plan', 4.6),
  },
  {
    at: 4.8,
    who: BAS,
    says: 'stamps the start of heat 5',
    acts: one(BAS, start, 'q2-h05', ['q2-dunlin']),
    expect: frozen('q2-dunlin'),
  },
  { at: 5.2, who: BAS, says: 'walks behind the bank: no network', network: 'away' },
  { at: 5.6, who: ILSE, says: 'puts P01 on charge', acts: charge('begin', 5.6) },
  {
    at: 6,
    who: PETRA,
    says: 'asks for less brake at Curlew’s transmitter',
    acts: (t) => [assign(t, PETRA, 'curlew', 'brake', 90, 'locks up at the end of the Seawall straight')],
  },
  { at: 6.5, who: BAS, says: 'puts P12 into Curlew', acts: one(BAS, packIn, 'q2-curlew', 'p12', 8.39) },
  {
    at: 7,
    who: BAS,
    says: 'signs Curlew’s lists',
    acts: (t) => [
      signList(t, BAS, 'q2-curlew', 'inspection'),
      signList(t, BAS, 'q2-curlew', 'before-staging'),
    ],
  },
  {
    at: 7.6,
    who: BAS,
    says: 'sets Curlew’s brake to 91%, as the driver told him',
    acts: one(BAS, fit, 'curlew', 'brake', 91),
  },
  {
    at: 7.8,
    who: ILSE,
    says: 'enters that Curlew’s brake is at 90%, while Bas is away',
    acts: one(ILSE, fit, 'curlew', 'brake', 90),
  },
  { at: 9, who: ILSE, says: 'puts P15 into Rook', acts: one(ILSE, packIn, 'q2-rook', 'p15', 8.39) },
  {
    at: 9.5,
    who: ILSE,
    says: 'signs the rest of Rook’s list',
    acts: one(ILSE, signList, 'q2-rook', 'before-staging'),
  },
  { at: 10.2, who: PETRA, says: 'stamps the finish of heat 5', acts: one(PETRA, finish, 'q2-h05') },
  {
    at: 11,
    who: 'maren-oduya',
    says: 'accepts Rook',
    acts: one('maren-oduya', accept, 'q2-rook'),
    expect: ready('q2-rook'),
  },
  {
    at: 11.5,
    who: BAS,
    says: 'measures Dunlin’s temperatures and takes its pack out',
    acts: afterRun(BAS, 'dunlin', 'p13', 't07', 3, 'anouk-reyes', BAS),
  },
  {
    at: 12.4,
    who: PETRA,
    says: 'stamps the start of heat 6',
    acts: one(PETRA, start, 'q2-h06', ['q2-kestrel']),
    expect: frozen('q2-kestrel'),
  },
  {
    at: 14,
    who: BAS,
    says: 'is back in the pits: everything from behind the bank arrives',
    network: 'back',
    expect: {
      says: 'P12 is in Curlew, Dunlin’s temperature is there, and Curlew’s brake is one of the two values',
      holds: (view) =>
        view.runs.get('q2-curlew')?.packIn?.v === 'p12' &&
        view.runs.get('q2-dunlin')?.motorC?.v !== undefined &&
        CONTESTED_VALUES.some((v) => v === view.cardValues.get(CONTESTED.recordId)?.fitted?.v),
    },
  },
  {
    at: 15,
    who: PETRA,
    says: 'asks for more drag brake on Rook, after the accept',
    acts: (t) => [assign(t, PETRA, 'rook', 'esc.withy-roll-brake', 9, 'grip has come up')],
    expect: acceptIs('q2-rook', 'void'),
  },
  {
    at: 15.8,
    who: ILSE,
    says: 'fits it, power cycles, reads it back, signs the card again',
    acts: (t) => [
      fit(t, ILSE, 'rook', 'esc.withy-roll-brake', 9),
      readBack(t, ILSE, 'rook', 'esc.withy-roll-brake', 9),
      closeFollowUps(t, ILSE, 'rook'),
      signList(t, ILSE, 'q2-rook', 'before-staging'),
    ],
  },
  {
    at: 16.5,
    who: BAS,
    says: 'settles Curlew’s brake at 90%, tries it, signs',
    acts: (t) => [
      fit(t, BAS, 'curlew', 'brake', 90),
      closeFollowUps(t, BAS, 'curlew'),
      signList(t, BAS, 'q2-curlew', 'before-staging'),
    ],
  },
  {
    at: 17,
    who: 'maren-oduya',
    says: 'accepts Rook again',
    acts: one('maren-oduya', accept, 'q2-rook'),
    expect: ready('q2-rook'),
  },
  { at: 17.8, who: PETRA, says: 'stamps the finish of heat 6', acts: one(PETRA, finish, 'q2-h06') },
  {
    at: 18.4,
    who: 'anouk-reyes',
    says: 'gives Dunlin’s result',
    acts: afterRun('anouk-reyes', 'dunlin', 'p13', 't07', 3, 'anouk-reyes', BAS),
  },
  {
    at: 20.6,
    who: PETRA,
    says: 'stamps the start of heat 7',
    acts: one(PETRA, start, 'q2-h07', ['q2-rook']),
    expect: frozen('q2-rook'),
  },
  {
    at: 22,
    who: 'joss-whitlow',
    says: 'leaves his own proposal for after the run',
    acts: (t) => [
      write(t, 'joss-whitlow', 'answer-proposal', (w) =>
        w.meeting('proposals', 'curlew-proposal', { outcome: w.stamp<'left'>('left') }),
      ),
    ],
  },
  {
    at: 23,
    who: 'joss-whitlow',
    says: 'accepts Curlew',
    acts: one('joss-whitlow', accept, 'q2-curlew'),
    expect: ready('q2-curlew'),
  },
  { at: 26, who: PETRA, says: 'stamps the finish of heat 7', acts: one(PETRA, finish, 'q2-h07') },
  {
    at: 27,
    who: ILSE,
    says: 'measures Rook’s temperatures and takes its pack out',
    acts: afterRun(ILSE, 'rook', 'p15', 't01', 3, 'maren-oduya', ILSE),
  },
  {
    at: 28.8,
    who: PETRA,
    says: 'stamps the start of heat 8',
    acts: one(PETRA, start, 'q2-h08', ['q2-curlew']),
    expect: frozen('q2-curlew'),
  },
  {
    at: 29.5,
    who: 'maren-oduya',
    says: 'gives Rook’s result and her words',
    acts: afterRun('maren-oduya', 'rook', 'p15', 't01', 3, 'maren-oduya', ILSE),
  },
  {
    at: 30.5,
    who: ILSE,
    says: 'measures Heron’s ride height, puts P08 in, signs its lists',
    acts: (t) => [
      closeFollowUps(t, ILSE, 'heron'),
      packIn(t, ILSE, 'q2-heron', 'p08', 8.38),
      signList(t, ILSE, 'q2-heron', 'inspection'),
      signList(t, ILSE, 'q2-heron', 'before-staging'),
    ],
  },
  {
    at: 32,
    who: 'tobiah-lund',
    says: 'accepts Heron',
    acts: one('tobiah-lund', accept, 'q2-heron'),
    expect: ready('q2-heron'),
  },
  { at: 34.2, who: PETRA, says: 'stamps the finish of heat 8', acts: one(PETRA, finish, 'q2-h08') },
  {
    at: 37,
    who: PETRA,
    says: 'stamps the start of heat 9',
    acts: one(PETRA, start, 'q2-h09', ['q2-heron']),
    expect: frozen('q2-heron'),
  },
  {
    at: 39.6,
    who: ILSE,
    says: 'takes P01 off the charger, full',
    acts: charge('end', 39.6),
    expect: {
      says: 'P01 is charged',
      holds: (view) => view.packs.get('p01')?.state?.v === 'charged',
    },
  },
  { at: 42.4, who: PETRA, says: 'stamps the finish of heat 9', acts: one(PETRA, finish, 'q2-h09') },
  { at: 45.2, who: BAS, says: 'stamps the start of heat 10', acts: one(BAS, start, 'q2-h10', []) },
  { at: 50.6, who: BAS, says: 'stamps its finish; the round is over', acts: one(BAS, finish, 'q2-h10') },
  {
    at: 56,
    who: ILSE,
    says: 'puts Wren’s tires on and its P01 in for the third round',
    acts: (t) => [
      tiresOn(t, ILSE, 'q3-wren', 't05'),
      packIn(t, ILSE, 'q3-wren', 'p01', 8.4),
      closeFollowUps(t, ILSE, 'wren'),
    ],
  },
]
