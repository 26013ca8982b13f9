'use client'
import { useState } from 'react'
import { nameKey } from '@/lib/board/fold-name'
import type { ColumnRole, PlannedEntry } from '@/lib/running-order'
import { useBoard } from '@/app/sync'
import { Button, FormField, Note, SelectField, TicketSection } from '@/app/ui'
import { nameOf } from '@/app/record/ref-options'
import type { Import } from './use-import'

interface Racer {
  key: string
  entry: PlannedEntry
  classText: string
  heats: number
}
const HITS = 8

/** Which racers are the team's cars: what was found, what looks odd, and a search for the ones that were not found. */
export function RacersStep({ work }: { work: Import }) {
  const view = useBoard()
  const [search, setSearch] = useState('')
  const plan = work.understood.plan
  if (!plan || plan.heats.length === 0) return null
  const racers = new Map<string, Racer>()
  for (const heat of plan.heats)
    for (const entry of heat.entries) {
      const known = racers.get(entry.racer)
      if (known) known.heats += 1
      else racers.set(entry.racer, { key: entry.racer, entry, classText: heat.listed.classText, heats: 1 })
    }
  const all = [...racers.values()]
  const open = new Set(plan.open)
  const asked = all.filter((r) => open.has(r.key))
  const ours = all.filter(
    (r) => !open.has(r.key) && (r.entry.carId || r.entry.match.doubt || r.entry.match.by === 'choice'),
  )
  const found = new Set(all.flatMap((r) => (r.entry.carId ? [r.entry.carId] : [])))
  const absent = view.cars.live.filter((c) => !found.has(c.id))
  const words = search.toLowerCase().split(/\s+/).filter(Boolean)
  const hits = words.length
    ? all
        .filter((r) => !ours.includes(r) && !asked.includes(r))
        .filter((r) => words.every((w) => searchText(r).includes(w)))
    : []
  const cars = view.cars.live.map((c) => ({
    id: c.id,
    label: nameOf(c),
    detail: nameOf(view.people.get(c.driverId)),
  }))
  const choose = (key: string, carId: string | null) =>
    work.choose({ cars: { ...work.choices.cars, [key]: carId } })
  const suggested = asked.flatMap((r) =>
    r.entry.match.suggested ? [[r.key, r.entry.match.suggested] as const] : [],
  )
  const row = (r: Racer) => (
    <div key={r.key} className="grid gap-2 min-w-0">
      <SelectField
        label={`${r.entry.listed.driverName}, ${r.classText || 'no class'}`}
        hint={listedAs(r)}
        options={cars}
        value={r.entry.carId}
        none="Not one of ours"
        onChange={(id) => choose(r.key, id)}
      />
      {r.entry.match.doubt && <Note tone="hot">{r.entry.match.doubt}</Note>}
    </div>
  )
  return (
    <>
      <TicketSection title="Our cars" level={2} aside={<span className="num">{found.size} found</span>} />
      {absent.length > 0 && isMapped(work.understood.layout?.roles ?? []) && (
        <Note>
          Not in this file: {absent.map(nameOf).join(', ')}. Search below if the file uses another name.
        </Note>
      )}
      {asked.length > 0 && (
        <section aria-label="Ours or not?" className="grid gap-3 p-[var(--gutter)] border-b border-rule">
          <h3>Ours or not? {asked.length} to answer before the import</h3>
          {asked.map((r) => (
            <Question key={r.key} racer={r} onChoose={(carId) => choose(r.key, carId)} />
          ))}
          {suggested.length > 1 && (
            <div>
              <Button
                onPress={() =>
                  work.choose({ cars: { ...work.choices.cars, ...Object.fromEntries(suggested) } })
                }
              >
                Yes to all {suggested.length}
              </Button>
            </div>
          )}
        </section>
      )}
      <div className="form-grid">{ours.map(row)}</div>
      <div className="form-grid border-t border-rule">
        <FormField
          label="Find a racer of the file"
          hint="By name, number or transponder."
          type="search"
          value={search}
          onChange={setSearch}
        />
        {hits.slice(0, HITS).map(row)}
        {words.length > 0 && hits.length === 0 && <p className="small self-end">Nobody with that name.</p>}
        {hits.length > HITS && (
          <p className="small self-end">
            {hits.length - HITS} more.{' '}
            <Button look="quiet" onPress={() => setSearch('')}>
              New search
            </Button>
          </p>
        )}
      </div>
    </>
  )
}

/** A racer who could be one of ours: only a person can tell. */
function Question({ racer, onChoose }: { racer: Racer; onChoose: (carId: string | null) => void }) {
  const view = useBoard()
  const { match, listed } = racer.entry
  const fitting = match.suggested
    ? [match.suggested]
    : view.cars.live
        .filter((c) => nameKey(view.people.get(c.driverId)?.name ?? '') === nameKey(listed.driverName))
        .map((c) => c.id)
  return (
    <div className="grid gap-2 min-w-0">
      <p>
        <b>{listed.driverName || 'No name'}</b>, {racer.classText || 'no class'}
        <span className="small block">{listedAs(racer)}</span>
      </p>
      {match.doubt && <Note tone="hot">{match.doubt}</Note>}
      <div className="btn-row">
        {fitting.map((id) => (
          <Button key={id} onPress={() => onChoose(id)}>
            It is {nameOf(view.cars.get(id))}
          </Button>
        ))}
        <Button onPress={() => onChoose(null)}>Not ours</Button>
      </div>
    </div>
  )
}

const listedAs = ({ entry: { listed, match }, heats }: Racer): string =>
  [
    listed.carNumber && `car ${listed.carNumber}`,
    listed.transponder && `transponder ${listed.transponder}`,
    `${heats} ${heats === 1 ? 'heat' : 'heats'}`,
    match.by !== 'none' && match.by !== 'choice' && `found by ${match.by}`,
  ]
    .filter(Boolean)
    .join(', ')

/** Who is in the file is only known once a column is said to hold it. */
const isMapped = (roles: readonly ColumnRole[]): boolean =>
  (['driver', 'familyName', 'givenName', 'transponder', 'carNumber'] as const).some((r) => roles.includes(r))

const searchText = (r: Racer): string =>
  [r.entry.listed.driverName, r.entry.listed.carNumber, r.entry.listed.transponder, r.classText]
    .join(' ')
    .toLowerCase()
