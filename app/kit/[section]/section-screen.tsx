'use client'
import { useMemo, useState } from 'react'
import { addNamedRecord, setRemoved, type BoardView } from '@/lib/board'
import { present } from '@/lib/core/assert'
import { useAct, useBoard, useEditContext, useGoOn, useSession } from '@/app/sync'
import {
  Button,
  Empty,
  FormField,
  Link,
  LinkButton,
  Ticket,
  TicketHead,
  Tick,
  useCommands,
  type Command,
} from '@/app/ui'
import { AddRecordDialog } from '@/app/record/add-record'
import { mayAdd, whoMayAdd } from '@/app/record/may-add'
import { nameOf } from '@/app/record/ref-options'
import type { KitSection } from '../kit-section'
import { recordHref, rowsOf, sectionOf } from '../kit-sections'
import { AddSeveral } from '../several/add-several'
import { SEVERAL } from '../several/examples'
import { PackWord } from '../packs/pack-word'
import { TireWord } from '../tires/tire-word'

const SEARCH_FROM = 10

/** One list of the kit: rows that open, a way to add, and what was removed. */
export function SectionScreen({ slug }: { slug: string }) {
  const section = present(sectionOf(slug), `kit section ${slug}`)
  const view = useBoard()
  const ctx = useEditContext()
  const { role } = useSession()
  const [adding, setAdding] = useState(false)
  const [several, setSeveral] = useState(false)
  const { many, example } = present(SEVERAL[section.collection], `words for several of ${slug}`)
  const [search, setSearch] = useState('')
  const rows = rowsOf(view, section)
  const found = rows.filter((r) => matches(view, section, r, search))
  const may = mayAdd(ctx, 'kit', section.collection)
  const commands = useMemo(
    (): Command[] =>
      may
        ? [
            { id: `add-${slug}`, group: 'Here', label: `Add a ${section.one}`, run: () => setAdding(true) },
            {
              id: `add-many-${slug}`,
              group: 'Here',
              label: `Add several ${many}`,
              run: () => setSeveral(true),
            },
          ]
        : [],
    [may, slug, section.one, many],
  )
  useCommands(commands)
  const add = (
    <>
      <Button look={rows.length === 0 ? 'do' : 'plain'} isDisabled={!may} onPress={() => setAdding(true)}>
        Add a {section.one}
      </Button>
      <Button isDisabled={!may} onPress={() => setSeveral(true)}>
        Add several
      </Button>
      {(slug === 'packs' || slug === 'tires') && rows.length > 0 && (
        <LinkButton href="/kit/labels">Labels to print</LinkButton>
      )}
    </>
  )
  if (several)
    return (
      <Ticket>
        <TicketHead title={`Add ${many}`} sub="Nothing changes until you confirm" level={1} />
        <AddSeveral
          collection={section.collection}
          one={section.one}
          many={many}
          example={example}
          onDone={() => setSeveral(false)}
        />
      </Ticket>
    )
  const readOnly = may ? null : (
    <p className="small">
      A {role} can only look at this list. {whoMayAdd('kit', section.collection)}
    </p>
  )
  return (
    <>
      {rows.length === 0 ? (
        <Empty title={section.label} level={1} acts={add}>
          <p>
            No {section.one} yet. {section.about}
          </p>
          {readOnly}
        </Empty>
      ) : (
        <Ticket>
          <TicketHead title={section.label} sub={section.about} level={1} />
          <div className="form-grid items-end">
            {rows.length >= SEARCH_FROM && (
              <FormField label={`Find a ${section.one}`} type="search" value={search} onChange={setSearch} />
            )}
            <div className="btn-row">{add}</div>
            {readOnly}
          </div>
          <ul className="kit-rows border-t border-rule" aria-label={section.label}>
            {found.map((r) => (
              <li key={r.id}>
                <Link href={recordHref(section, r.id)} className="kit-row">
                  <span className="kit-row-name">
                    {nameOf(r)}
                    <small>{section.detail(view, r.id)}</small>
                  </span>
                  {section.slug === 'packs' && <PackWord packId={r.id} />}
                  {section.slug === 'tires' && <TireWord tireSetId={r.id} />}
                </Link>
              </li>
            ))}
            {found.length === 0 && <li className="small p-4">Nothing here matches “{search}”.</li>}
          </ul>
        </Ticket>
      )}
      <RemovedRows section={section} />
      <AddToSection section={section} isOpen={adding} onOpenChange={setAdding} />
    </>
  )
}

function matches(view: BoardView, s: KitSection, row: { id: string }, search: string): boolean {
  const text = `${nameOf(row)} ${s.detail(view, row.id)}`.toLowerCase()
  return search
    .toLowerCase()
    .split(/\s+/)
    .every((word) => text.includes(word))
}

function AddToSection(t: { section: KitSection; isOpen: boolean; onOpenChange: (open: boolean) => void }) {
  const { section } = t
  const act = useAct()
  const goOn = useGoOn()
  return (
    <AddRecordDialog
      title={`New ${section.one}`}
      doc="kit"
      collection={section.collection}
      fields={section.newFields}
      isOpen={t.isOpen}
      onOpenChange={t.onOpenChange}
      act={`Add the ${section.one}`}
      onAdd={(values) => {
        const done = act(
          (ctx, v) => {
            const orders = v[section.collection].live.map((r) => ('order' in r ? (r.order ?? 0) : 0))
            const ordered = section.collection === 'packs' || section.collection === 'checklists'
            const order: Record<string, number> = ordered ? { order: Math.max(0, ...orders) } : {}
            return addNamedRecord(ctx, 'kit', section.collection, { ...values, ...order })
          },
          `${nameOf({ id: '', ...values })} added`,
        )
        if (done.ok) goOn(recordHref(section, done.value))
        return done
      }}
    />
  )
}

/** What was removed stays on the board and can come back: past meetings refer to it. */
function RemovedRows({ section }: { section: KitSection }) {
  const view = useBoard()
  const act = useAct()
  const ctx = useEditContext()
  const [shown, setShown] = useState(false)
  const all: { id: string; removed?: boolean; name?: string; label?: string }[] = [
    ...view[section.collection].all.values(),
  ]
  const removed = all.filter((r) => r.removed)
  if (removed.length === 0) return null
  return (
    <div>
      <Tick isSelected={shown} onChange={setShown}>
        Show removed ({removed.length})
      </Tick>
      {shown && (
        <ul className="kit-rows bg-sheet border border-rule" aria-label={`Removed: ${section.label}`}>
          {removed.map((r) => (
            <li key={r.id} className="kit-row">
              <s>{nameOf(r)}</s>
              <Button
                isDisabled={!mayAdd(ctx, 'kit', section.collection)}
                aria-label={`Restore ${nameOf(r)} back`}
                onPress={() =>
                  act((c) => setRemoved(c, 'kit', section.collection, r.id, false), `${nameOf(r)} is back`)
                }
              >
                Restore
              </Button>
            </li>
          ))}
        </ul>
      )}
    </div>
  )
}
