'use client'
import { useState, type ReactNode } from 'react'
import { setRemoved } from '@/lib/board'
import { present } from '@/lib/core/assert'
import { nextLabel } from '@/lib/kit-list'
import { useAct, useBoard, useEditContext, useGoOn, useMay } from '@/app/sync'
import { Button, Empty, LinkButton, Ticket, TicketHead } from '@/app/ui'
import { ChecklistItems } from './checklists/checklist-items'
import { ParameterList } from './controllers/parameter-list'
import { TriggerList } from './follow-ups/trigger-list'
import { nameOf } from '@/app/record/ref-options'
import { PrintedBy } from '@/app/record/printed-by'
import { RecordForm } from '@/app/record/record-form'
import { RuleLists } from '@/app/record/rule-fields'
import { mayAdd } from '@/app/record/may-add'
import type { KitSection } from './kit-section'
import { rowsOf, sectionHref, sectionOf } from './kit-sections'
import { SeveralDialog } from './several/several-dialog'
import { RecordHistory } from './record-history'

/** One record of the kit: its fields, what hangs on it, who changed it, and its removal. */
export function RecordScreen({
  slug,
  recordId,
  children,
  after,
}: {
  slug: string
  recordId: string
  /** Above the form. */
  children?: ReactNode
  /** Below it. */
  after?: ReactNode
}) {
  const section = present(sectionOf(slug), `kit section ${slug}`)
  const view = useBoard()
  const record: { id: string; name?: string; label?: string; removed?: boolean } | undefined =
    view[section.collection].get(recordId)
  if (!record)
    return (
      <Empty
        title={`No such ${section.one}`}
        level={1}
        acts={<LinkButton href={sectionHref(section)}>{section.label}</LinkButton>}
      >
        <p>Nothing in the kit at this address. The label or link may belong to another board.</p>
      </Empty>
    )
  return (
    <>
      {record.removed && <RemovedNote slug={slug} recordId={recordId} name={nameOf(record)} />}
      {children}
      <Ticket>
        <TicketHead title={nameOf(record)} sub={section.detail(view, recordId)} level={children ? 2 : 1} />
        <RecordForm doc="kit" collection={section.collection} recordId={recordId} groups={section.groups} />
        {slug === 'rules' && <RuleLists doc="kit" collection="ruleSheets" recordId={recordId} />}
      </Ticket>
      {after}
      {slug === 'controllers' && <ParameterList controllerId={recordId} />}
      {slug === 'checklists' && <ChecklistItems checklistId={recordId} />}
      {slug === 'follow-ups' && <TriggerList ruleId={recordId} />}
      <div className="no-print">
        <RecordHistory collection={section.collection} recordId={recordId} />
      </div>
      {!record.removed && (
        <div className="btn-row">
          <MoreLikeThis section={section} recordId={recordId} name={nameOf(record)} />
          {slug === 'packs' && <Button onPress={() => print()}>Print</Button>}
          {(slug === 'packs' || slug === 'tires') && (
            <LinkButton href={`/kit/labels?only=${recordId}`}>Its label</LinkButton>
          )}
          <RemoveRecord section={section} recordId={recordId} name={nameOf(record)} />
        </div>
      )}
      <PrintedBy />
    </>
  )
}

/** Copies: all but the name, what is its own (numbers, readings, counts) and its history. */
function MoreLikeThis({ section, recordId, name }: { section: KitSection; recordId: string; name: string }) {
  const view = useBoard()
  const ctx = useEditContext()
  const [isOpen, setOpen] = useState(false)
  const next = nextLabel(
    name,
    rowsOf(view, section).map((r) => nameOf(r)),
  )
  return (
    <>
      <Button isDisabled={!mayAdd(ctx, 'kit', section.collection)} onPress={() => setOpen(true)}>
        Add more like this
      </Button>
      <SeveralDialog
        title={`More like ${name}`}
        collection={section.collection}
        one={section.one}
        example={
          next === '' ? `${name} 2` : `${next} to ${next.replace(/\d+$/, (n) => String(Number(n) + 3))}`
        }
        like={recordId}
        initial={next}
        isOpen={isOpen}
        onOpenChange={setOpen}
      />
    </>
  )
}

function RemoveRecord({ section, recordId, name }: { section: KitSection; recordId: string; name: string }) {
  const act = useAct()
  const goOn = useGoOn()
  const may = useMay('kit', section.collection, recordId, 'removed')
  return (
    <Button
      look="hot"
      isDisabled={!may}
      onPress={() => {
        const done = act(
          (ctx) => setRemoved(ctx, 'kit', section.collection, recordId, true),
          `${name} removed`,
        )
        if (done.ok) goOn(sectionHref(section))
      }}
    >
      Remove this {section.one}
    </Button>
  )
}

function RemovedNote({ slug, recordId, name }: { slug: string; recordId: string; name: string }) {
  const section = present(sectionOf(slug), `kit section ${slug}`)
  const act = useAct()
  const may = useMay('kit', section.collection, recordId, 'removed')
  return (
    <div className="note note-hot flex flex-wrap items-center justify-between gap-3" role="status">
      <span>{name} was removed. It does not show up in any list.</span>
      <Button
        isDisabled={!may}
        onPress={() =>
          act((ctx) => setRemoved(ctx, 'kit', section.collection, recordId, false), `${name} is back`)
        }
      >
        Restore
      </Button>
    </div>
  )
}
