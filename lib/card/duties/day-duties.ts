import { joinId, splitId, type BoardView, heatNameFirst } from '../../board'
import {
  dutyClashes,
  marshalDuties,
  personalList,
  type DutyClash,
  type DutyInput,
  type MarshalDuty,
  type MarshalRule,
  type PersonalItem,
  type TimedJob,
} from '../../planner'
import { dayForecast, heatsInOrder, raceSecondsOf, type DayForecast } from '../day/day-forecast'
import { DEFAULT_STAGING_LEAD_S, runsOf, type RunInfo } from '../day/runs'

/** From marshalling to one's own start: take the car, the transmitter, and breathe. Common practice, no source. */
const MINIMUM_GAP_S = 300

/** The day's duties: who marshals what, what clashes, and each person's own list. */
export interface DayDuties {
  input: DutyInput
  duties: MarshalDuty[]
  clashes: DutyClash[]
}

const heatLabel = (view: BoardView, heatId: string): string => {
  const heat = view.heats.get(heatId)
  const round = view.rounds.get(heat?.roundId)?.name
  return [heat ? heatNameFirst(heat) : 'Heat ?', round].filter(Boolean).join(', ')
}

/** The meeting's own rule decides; a table is what people entered by hand, so nothing is derived for it. */
function ruleOf(view: BoardView): MarshalRule {
  switch (view.meeting.get('meeting')?.marshalRule) {
    case 'none':
      return { kind: 'none' }
    case 'table':
      return { kind: 'table', rows: [] }
    case 'after-own-heat':
    case undefined:
      return { kind: 'afterOwn', firstHeatBy: 'lastOfPreviousRound' }
  }
}

/** Jobs and charges that have a person and a time. */
function jobsOf(view: BoardView): TimedJob[] {
  const jobs = view.jobs.live
    .filter((j) => j.personId && j.dueAt && !j.done)
    .map((j): TimedJob => ({
      id: j.id,
      personId: j.personId ?? '',
      what: j.text ?? '',
      from: j.dueAt ?? 0,
      deadline: j.dueAt ?? 0,
      kind: 'job',
    }))
  const charges = view.charges.live.flatMap((c): TimedJob[] => {
    const personId =
      view.runs.get(c.runId)?.mechanicId?.v ?? view.cars.get(view.entries.get(c.runId)?.carId)?.mechanicId
    if (!personId || c.stoppedAt?.v) return []
    const pack = view.packs.get(c.packId)?.label ?? 'a pack'
    const where = `${view.chargers.get(c.chargerId)?.label ?? 'charger'} channel ${c.channel ?? '?'}`
    const at = (time: number | undefined, kind: 'chargeStart' | 'chargeStop', what: string): TimedJob[] =>
      time === undefined ? [] : [{ id: c.id, personId, what, from: time, deadline: time, kind }]
    return c.startedAt?.v
      ? at(c.plannedEnd, 'chargeStop', `Take ${pack} off ${where}`)
      : at(c.plannedStart, 'chargeStart', `Put ${pack} on ${where} at ${c.currentA ?? '?'} A`)
  })
  return [...jobs, ...charges]
}

export function dayDuties(
  view: BoardView,
  now: number,
  forecast: DayForecast = dayForecast(view, now),
  teamRuns: readonly RunInfo[] = runsOf(view, now, forecast),
): DayDuties {
  const heats = heatsInOrder(view).filter((h) => !h.isBreak)
  const rule = ruleOf(view)
  const byHand = view.duties.live.filter((d) => d.heatId && d.personId)
  const input: DutyInput = {
    heats: heats.map((h) => {
      const f = forecast.heats.get(h.id)
      const start = f?.startAt ?? h.plannedStart ?? 0
      return {
        id: h.id,
        round: h.roundId ?? '',
        label: heatLabel(view, h.id),
        expectedStart: start,
        expectedFinish: f?.finishAt ?? start + raceSecondsOf(view, h) * 1000,
      }
    }),
    people: view.people.live.map((p) => ({
      id: p.id,
      name: p.name ?? 'somebody',
      mayMarshal: p.role !== 'guest',
    })),
    runs: teamRuns.flatMap((r) =>
      r.driverId ? [{ heatId: r.heat.id, personId: r.driverId, carId: r.carId }] : [],
    ),
    rule,
    substitutions: [...view.duties.all.values()].flatMap((d) => {
      const [heatId, personId] = splitId(d.id)
      return d.standInId ? [{ heatId, personId, standInId: d.standInId.v }] : []
    }),
    jobs: jobsOf(view),
    minimumGapSeconds: MINIMUM_GAP_S,
    stagingLeadSeconds: view.meeting.get('meeting')?.stagingLeadSeconds ?? DEFAULT_STAGING_LEAD_S,
  }
  const derived = marshalDuties(input)
  const own = new Set(derived.map((d) => dutyId(d)))
  const entered = byHand
    .filter((d) => !own.has(joinId(d.heatId ?? '', d.personId ?? '')))
    .map((d): MarshalDuty => ({
      heatId: d.heatId ?? '',
      owedBy: d.personId ?? '',
      doneBy: d.standInId ? d.standInId.v : (d.personId ?? ''),
      becauseOf: d.heatId ?? '',
    }))
  const duties = [...derived, ...entered].filter((d) => input.heats.some((h) => h.id === d.heatId))
  return { input, duties, clashes: dutyClashes(input, duties) }
}

/** The record that holds a duty's stand-in and sign-off. */
export const dutyId = (d: { heatId: string; owedBy: string }): string => joinId(d.heatId, d.owedBy)

/** One person's whole day, what is over included, in order of deadline. */
export const listOf = (day: DayDuties, personId: string): PersonalItem[] =>
  personalList(day.input, day.duties, personId)

/** What one person has to do from now on, soonest deadline first. */
export const listFor = (day: DayDuties, personId: string, now: number): PersonalItem[] =>
  listOf(day, personId).filter((i) => i.until >= now)
