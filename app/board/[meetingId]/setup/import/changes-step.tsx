'use client'
import { useState, type ReactNode } from 'react'
import { heatTitleText, type HeatTitle, type OrderChange } from '@/lib/running-order'
import { Button, durationText, shortDayText, TicketSection, timeText } from '@/app/ui'
import type { Import } from './use-import'

const FIRST = 8
const GROUPS: readonly { title: string; kinds: readonly OrderChange['kind'][] }[] = [
  { title: 'Heats deleted', kinds: ['heat-dropped'] },
  { title: 'Entries removed', kinds: ['entry-removed'] },
  { title: 'Not in the file, but staying', kinds: ['heat-kept', 'entry-kept'] },
  { title: 'Heats swapped', kinds: ['heats-swapped'] },
  { title: 'Times moved', kinds: ['time-moved'] },
  { title: 'Entries moved to another heat', kinds: ['entry-moved'] },
  { title: 'Entries changed', kinds: ['entry-changed'] },
  { title: 'Heats and entries restored', kinds: ['heat-returned', 'entry-returned'] },
  { title: 'Added', kinds: ['class-added', 'round-added', 'heat-added', 'entry-added'] },
]

/** Exactly what confirming would change, ours first. */
export function ChangesStep({ work }: { work: Import }) {
  const plan = work.understood.plan
  if (!plan || plan.firstImport) return null
  const ours = plan.changes.filter((c) => c.ours).length
  return (
    <>
      <TicketSection
        title="What changes on the board"
        level={2}
        aside={
          <span className="num">
            {plan.changes.length ? `${plan.changes.length}, ${ours} ours` : 'nothing'}
          </span>
        }
      />
      {plan.changes.length === 0 && (
        <p className="p-4">The board already matches this file. Nothing to import.</p>
      )}
      {GROUPS.map((g) => {
        const changes = plan.changes.filter((c) => g.kinds.includes(c.kind))
        return changes.length > 0 ? (
          <ChangeGroup key={g.title} title={g.title} changes={changes} work={work} />
        ) : null
      })}
    </>
  )
}

function ChangeGroup({
  title,
  changes,
  work,
}: {
  title: string
  changes: readonly OrderChange[]
  work: Import
}) {
  const [all, setAll] = useState(false)
  const sorted = [...changes].sort((a, b) => Number(b.ours) - Number(a.ours))
  const shift = commonShift(changes)
  // Twenty heats that all move by twenty minutes are one piece of news.
  const limit = shift !== null && changes.length > 3 ? 0 : FIRST
  const shown = all ? sorted : sorted.slice(0, limit)
  return (
    <section aria-label={title}>
      <h3 className="px-[var(--gutter)] pt-3 pb-1">
        {title} <span className="num small">{changes.length}</span>
      </h3>
      {limit === 0 && (
        <p className="px-[var(--gutter)] pb-1">
          All {changes.length} are {shift !== null && shiftText(shift)}.
        </p>
      )}
      <ul className="ruled px-[var(--gutter)]">
        {shown.map((c, i) => (
          <li key={i} className="py-2 flex flex-wrap items-center justify-between gap-x-4">
            <span>
              {c.ours && <b>Ours: </b>}
              {changeText(c)}
            </span>
            {(c.kind === 'heat-dropped' || (c.kind === 'heat-kept' && c.why === 'chosen')) && (
              <Button
                look="quiet"
                onPress={() => {
                  const kept = work.choices.keepHeatIds
                  const id = c.heat.heatId
                  work.choose({
                    keepHeatIds: kept.includes(id) ? kept.filter((k) => k !== id) : [...kept, id],
                  })
                }}
              >
                {c.kind === 'heat-dropped' ? 'Keep it' : 'Delete it'}
              </Button>
            )}
          </li>
        ))}
      </ul>
      {shown.length < sorted.length && (
        <div className="px-[var(--gutter)] py-2">
          <Button onPress={() => setAll(true)}>Show all {sorted.length}</Button>
        </div>
      )}
    </section>
  )
}

/** The shift in ms when all planned starts move alike; else null. */
function commonShift(changes: readonly OrderChange[]): number | null {
  const shifts = new Set(
    changes.map((c) => (c.kind === 'time-moved' && c.from !== null ? c.to - c.from : Number.NaN)),
  )
  const [only] = shifts
  return shifts.size === 1 && only !== undefined && !Number.isNaN(only) ? only : null
}
const shiftText = (ms: number) => `${durationText(Math.abs(ms))} ${ms > 0 ? 'later' : 'earlier'}`

const HELD = (held: readonly string[]): ReactNode =>
  held.length ? (
    <>
      {' '}
      It has <b>{held.join(', ')}</b>.
    </>
  ) : null
const WHY = {
  started: 'it has started',
  'rows-left-out': 'some rows of the file can’t be read, and it may be one of them',
  chosen: 'you chose to keep it',
} as const
const clock = (at: number) => `${shortDayText(at)}, ${timeText(at)}`

/** `Heats 27 and 28 swapped, Round 2, 4WD Modified` */
function swapText(a: HeatTitle, b: HeatTitle): string {
  const number = (t: HeatTitle) => /^Heat (\d+)$/.exec(t.name)?.[1]
  const [x, y] = [number(a), number(b)]
  const alike = a.round === b.round && a.className === b.className
  return alike && x && y
    ? `Heats ${x} and ${y} swapped, ${[a.round, a.className].filter(Boolean).join(', ')}`
    : `${heatTitleText(a)} and ${heatTitleText(b)} swapped`
}

function changeText(c: OrderChange): ReactNode {
  switch (c.kind) {
    case 'class-added':
      return `Class ${c.name}`
    case 'round-added':
      return `Round ${c.name}`
    case 'heat-added':
      return `${heatTitleText(c.heat)}, ${c.entries} ${c.entries === 1 ? 'entry' : 'entries'}`
    case 'heat-dropped':
      return (
        <>
          {heatTitleText(c.heat)}.{HELD(c.held)}
        </>
      )
    case 'heat-kept':
      return `${heatTitleText(c.heat)}: ${WHY[c.why]}`
    case 'heat-returned':
      return heatTitleText(c.heat)
    case 'heats-swapped':
      return swapText(c.heat, c.other)
    case 'time-moved':
      return (
        <>
          {heatTitleText(c.heat)}:{' '}
          <span className="num">
            {c.from === null ? 'no time' : clock(c.from)} → {clock(c.to)}
          </span>
          {c.from !== null && `, ${shiftText(c.to - c.from)}`}
        </>
      )
    case 'entry-added':
    case 'entry-returned':
      return `${c.driver}, ${heatTitleText(c.heat)}`
    case 'entry-removed':
      return (
        <>
          {c.driver}, {heatTitleText(c.heat)}.{HELD(c.held)}
        </>
      )
    case 'entry-kept':
      return `${c.driver}, ${heatTitleText(c.heat)}: ${WHY[c.why]}`
    case 'entry-moved':
      return `${c.driver}: ${heatTitleText(c.from)} → ${c.heat.name}${c.ours ? ', with everything assigned to it' : ''}`
    case 'entry-changed':
      return `${c.driver}, ${heatTitleText(c.heat)}: ${c.what} ${c.from || 'none'} → ${c.to}`
  }
}
