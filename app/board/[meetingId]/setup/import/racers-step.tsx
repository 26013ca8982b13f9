'use client'
import { useState } from 'react'
import type { ColumnRole, PlannedEntry } from '@/lib/running-order'
import { useBoard } from '../../../../sync'
import { Button, FormField, Note, SelectField, TicketSection } from '../../../../ui'
import { nameOf } from '../../../../kit/forms/ref-options'
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
  const ours = all.filter((r) => r.entry.carId || r.entry.match.doubt || r.entry.match.by === 'choice')
  const found = new Set(all.flatMap((r) => (r.entry.carId ? [r.entry.carId] : [])))
  const absent = view.cars.live.filter((c) => !found.has(c.id))
  const words = search.toLowerCase().split(/\s+/).filter(Boolean)
  const hits = words.length
    ? all.filter((r) => !ours.includes(r)).filter((r) => words.every((w) => searchText(r).includes(w)))
    : []
  const cars = view.cars.live.map((c) => ({
    id: c.id,
    label: nameOf(c),
    detail: nameOf(view.people.get(c.driverId)),
  }))
  const choose = (key: string, carId: string | null) =>
    work.choose({ cars: { ...work.choices.cars, [key]: carId } })
  const row = (r: Racer) => (
    <div key={r.key} className="grid gap-2 min-w-0">
      <SelectField
        label={`${r.entry.listed.driverName}, ${r.classText || 'no class'}`}
        hint={[
          r.entry.listed.carNumber && `car ${r.entry.listed.carNumber}`,
          r.entry.listed.transponder && `transponder ${r.entry.listed.transponder}`,
          `${r.heats} ${r.heats === 1 ? 'heat' : 'heats'}`,
          r.entry.match.by !== 'none' && r.entry.match.by !== 'choice' && `found by ${r.entry.match.by}`,
        ]
          .filter(Boolean)
          .join(', ')}
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
          Not in this file: {absent.map(nameOf).join(', ')}. Search below if the file lists them under another
          name.
        </Note>
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
        {words.length > 0 && hits.length === 0 && <p className="small self-end">Nobody of that name.</p>}
        {hits.length > HITS && (
          <p className="small self-end">
            {hits.length - HITS} more.{' '}
            <Button look="quiet" onPress={() => setSearch('')}>
              Search anew
            </Button>
          </p>
        )}
      </div>
    </>
  )
}

/** Who is in the file is only known once a column is said to hold it. */
const isMapped = (roles: readonly ColumnRole[]): boolean =>
  (['driver', 'familyName', 'givenName', 'transponder', 'carNumber'] as const).some((r) => roles.includes(r))

const searchText = (r: Racer): string =>
  [r.entry.listed.driverName, r.entry.listed.carNumber, r.entry.listed.transponder, r.classText]
    .join(' ')
    .toLowerCase()
