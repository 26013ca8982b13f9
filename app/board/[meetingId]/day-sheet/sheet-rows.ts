import type { BoardView } from '@/lib/board'
import { mechanicsOf, type DayDuties, type RunInfo } from '@/lib/card'

/** One line of the day sheet: a run of ours, or the crew's marshals of a heat. */
export interface SheetRow {
  id: string
  kind: 'run' | 'marshal'
  /** The call for a run, the start for a duty, ms. */
  at: number
  startAt: number
  plusMinusS: number
  heat: string
  what: string
  who: string
  pack: string
  tires: string
  hands: string
}

const dayOf = (at: number) => new Date(at).toDateString()

/** The team's runs and marshal duties of the day that `now` is in (or of the next day that has any), in the order of the day. */
export function sheetRows(
  view: BoardView,
  runs: readonly RunInfo[],
  duties: DayDuties,
  now: number,
): SheetRow[] {
  const nameOf = (id: string | null | undefined) => view.people.get(id)?.name ?? ''
  const own = runs.flatMap((r): SheetRow[] =>
    r.startAt === null
      ? []
      : [
          {
            id: r.runId,
            kind: 'run',
            at: r.callAt ?? r.startAt,
            startAt: r.startAt,
            plusMinusS: r.plusMinusS,
            heat: [r.heat.number ?? r.heat.label, r.round?.name].filter(Boolean).join(', '),
            what: `${r.carName}${r.raceClass?.name ? `, ${r.raceClass.name}` : ''}`,
            who: r.driverName,
            pack: view.packs.get(r.run?.packId?.v)?.label ?? '',
            tires: view.tireSets.get(r.run?.tireSetId?.v)?.label ?? '',
            hands: mechanicsOf(view, r).map(nameOf).join(', '),
          },
        ],
  )
  const marshals = duties.input.heats.flatMap((heat): SheetRow[] => {
    const here = duties.duties.filter((d) => d.heatId === heat.id && d.doneBy !== null)
    if (here.length === 0) return []
    return [
      {
        id: `marshal.${heat.id}`,
        kind: 'marshal',
        at: heat.expectedStart,
        startAt: heat.expectedStart,
        plusMinusS: 0,
        heat: heat.label.replace(/^Heat /, ''),
        what: 'Marshal',
        who: here
          .map((d) =>
            d.doneBy === d.owedBy ? nameOf(d.doneBy) : `${nameOf(d.doneBy)} for ${nameOf(d.owedBy)}`,
          )
          .join(', '),
        pack: '',
        tires: '',
        hands: '',
      },
    ]
  })
  const rows = [...own, ...marshals].sort((a, b) => a.at - b.at || (a.id < b.id ? -1 : 1))
  const today = rows.find((r) => dayOf(r.at) === dayOf(now)) ?? rows.find((r) => r.at >= now) ?? rows.at(-1)
  return today ? rows.filter((r) => dayOf(r.at) === dayOf(today.at)) : []
}
