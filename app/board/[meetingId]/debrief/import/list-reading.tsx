'use client'
import { heatName } from '@/lib/board'
import { useBoard } from '@/app/sync'
import { useState } from 'react'
import { heatsInOrder } from '@/lib/card'
import { LAP_LAYOUT_NAMES, LAP_LAYOUTS, LIST_ROLE_NAMES, LIST_ROLES, type ListRole } from '@/lib/results'
import { SEPARATION_NAMES } from '@/lib/tables'
import { Button, ChoiceField, SelectField, Tick, TicketSection } from '@/app/ui'
import type { ListImport } from './use-list-import'

const LAP_ROLES: readonly ListRole[] = ['lap', 'lapTime', 'allLaps']

/** What the list is, and what its columns hold: found by itself, and to be said otherwise. */
export function ListReading({ work }: { work: ListImport }) {
  const view = useBoard()
  const [open, setOpen] = useState(false)
  const { understood } = work
  if (!understood) return null
  const { kind, layout, lapLayout, table } = understood
  const heats = heatsInOrder(view).filter((h) => !h.isBreak)
  const isByColumn = kind === 'laps' && lapLayout === 'column-per-car'
  const setRole = (at: number, role: ListRole) =>
    work.change({
      roles: layout.roles.map((r, i) => (i === at ? role : r === role && role !== 'ignore' ? 'ignore' : r)),
    })
  return (
    <>
      <TicketSection title="How the list is read" level={2} />
      <div className="form-grid">
        <ChoiceField
          label="What it holds"
          options={[
            { id: 'results', label: 'Results' },
            { id: 'laps', label: 'Lap times' },
          ]}
          value={kind}
          onChange={(id) => work.change({ kind: id === 'laps' ? 'laps' : 'results', lapLayout: null })}
        />
        <SelectField
          label="Round, for heats named by number"
          options={view.rounds.live.map((r) => ({ id: r.id, label: r.name ?? 'Round' }))}
          value={work.choices.roundId}
          onChange={(roundId) => work.choose({ roundId })}
        />
        <SelectField
          label="Heat, for rows that name none"
          options={heats.map((h) => ({
            id: h.id,
            label: [
              view.rounds.get(h.roundId)?.name,
              heatName(h, view.classes.get(h.classId)?.name),
              view.classes.get(h.classId)?.name,
            ]
              .filter(Boolean)
              .join(', '),
          }))}
          value={work.choices.heatId}
          onChange={(heatId) => work.choose({ heatId })}
        />
        {kind === 'laps' && (
          <SelectField
            label="Layout"
            options={LAP_LAYOUTS.map((id) => ({ id, label: LAP_LAYOUT_NAMES[id] }))}
            value={lapLayout}
            onChange={(id) => work.change({ lapLayout: LAP_LAYOUTS.find((l) => l === id) ?? null })}
          />
        )}
      </div>
      <div className="px-[var(--gutter)] py-1 flex flex-wrap items-center justify-between gap-x-6">
        <p className="small">
          {SEPARATION_NAMES[table.by]},{' '}
          {layout.headerLine === null ? 'no header line' : `header on line ${layout.headerLine}`}.
        </p>
        <div className="flex flex-wrap items-center gap-x-4">
          {!isByColumn && (
            <Tick isSelected={open} onChange={setOpen}>
              Change the columns
            </Tick>
          )}
          <Button look="quiet" onPress={() => work.take(null)}>
            Another list
          </Button>
        </div>
      </div>
      {open && !isByColumn && (
        <div className="form-grid">
          {layout.names.map((name, i) => (
            <SelectField
              key={i}
              label={name || `Column ${i + 1}`}
              options={LIST_ROLES.filter((r) => kind === 'laps' || !LAP_ROLES.includes(r)).map((id) => ({
                id,
                label: LIST_ROLE_NAMES[id],
              }))}
              value={layout.roles[i] ?? 'ignore'}
              onChange={(id) => setRole(i, LIST_ROLES.find((r) => r === id) ?? 'ignore')}
            />
          ))}
        </div>
      )}
    </>
  )
}
