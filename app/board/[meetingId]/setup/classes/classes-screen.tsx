'use client'
import { useParams } from 'next/navigation'
import { useState } from 'react'
import { addClass, type BoardView } from '@/lib/board'
import { useAct, useBoard, useGoOn, useMay } from '@/app/sync'
import { Button, Dialog, Empty, FormField, Link, Ticket, TicketBody, TicketHead } from '@/app/ui'
import { nameOf } from '@/app/record/ref-options'

/** The meeting's classes, each with its own copy of the rules. */
export function ClassesScreen() {
  const view = useBoard()
  const { meetingId } = useParams<{ meetingId: string }>()
  const may = useMay('meeting', 'classes', 'new', 'name')
  const [adding, setAdding] = useState(false)
  const classes = view.classes.live
  const add = (
    <Button look={classes.length ? 'plain' : 'do'} isDisabled={!may} onPress={() => setAdding(true)}>
      Add a class
    </Button>
  )
  return (
    <>
      {classes.length === 0 ? (
        <Empty title="Classes" level={1} acts={add}>
          <p>
            No classes yet. Add one from the kit’s rule sheets, or import the running order to add the classes
            it names.
          </p>
        </Empty>
      ) : (
        <Ticket>
          <TicketHead title="Classes" sub="This meeting’s own copy of the rules" level={1} />
          <ul className="kit-rows">
            {classes.map((c) => (
              <li key={c.id}>
                <Link href={`/board/${meetingId}/setup/classes/${c.id}`} className="kit-row">
                  <span className="kit-row-name">
                    {nameOf(c)}
                    <small>{rulesLine(view, c.id)}</small>
                  </span>
                  <span className="kit-row-side">{heatsOf(view, c.id)} heats</span>
                </Link>
              </li>
            ))}
          </ul>
          <TicketBody>
            <div className="btn-row">{add}</div>
          </TicketBody>
        </Ticket>
      )}
      <AddClass isOpen={adding} onOpenChange={setAdding} />
    </>
  )
}

const heatsOf = (view: BoardView, classId: string) =>
  view.heats.live.filter((h) => h.classId === classId).length

export function rulesLine(view: BoardView, classId: string): string {
  const c = view.classes.get(classId)
  const parts = [
    c?.raceSeconds !== undefined && `${c.raceSeconds / 60} min`,
    c?.voltageLimitV !== undefined && `up to ${c.voltageLimitV.toFixed(2)} V`,
    c?.minimumWeightG !== undefined && `${c.minimumWeightG} g minimum`,
    c?.countingRounds !== undefined && `best ${c.countingRounds} count`,
  ].filter(Boolean)
  return parts.length ? parts.join(', ') : 'no rules entered yet'
}

function AddClass({ isOpen, onOpenChange }: { isOpen: boolean; onOpenChange: (open: boolean) => void }) {
  const view = useBoard()
  const act = useAct()
  const goOn = useGoOn()
  const { meetingId } = useParams<{ meetingId: string }>()
  const [name, setName] = useState('')
  // One sheet can rule several classes, such as two groups of one.
  const sheets = view.ruleSheets.live
  const add = (what: { ruleSheetId: string } | { name: string }, said: string) => {
    const done = act((ctx, v) => addClass(ctx, v, what), `${said} added`)
    if (!done.ok) return
    setName('')
    onOpenChange(false)
    goOn(`/board/${meetingId}/setup/classes/${done.value}`)
  }
  return (
    <Dialog title="New class" isOpen={isOpen} onOpenChange={onOpenChange}>
      {sheets.length > 0 && (
        <div className="grid gap-2">
          <p className="field-label">Rule sheet</p>
          {sheets.map((s) => (
            <Button key={s.id} wide onPress={() => add({ ruleSheetId: s.id }, nameOf(s))}>
              {nameOf(s)}
            </Button>
          ))}
        </div>
      )}
      <FormField
        label={sheets.length > 0 ? 'Or an empty class named' : 'Class'}
        value={name}
        onChange={setName}
        maxLength={80}
        onEnter={() => name.trim() && add({ name: name.trim() }, name.trim())}
      />
      <div className="btn-row">
        <Button
          look="do"
          isDisabled={name.trim() === ''}
          onPress={() => add({ name: name.trim() }, name.trim())}
        >
          Add the class
        </Button>
      </div>
    </Dialog>
  )
}
