'use client'
import { useState } from 'react'
import { addDuty, canWrite, removeDuty, setStandIn, signDuty } from '@/lib/board'
import { dutyId, type DayDuties } from '@/lib/card'
import type { MarshalDuty } from '@/lib/planner'
import { Button, Menu, SelectField, Ticket, TicketHead, TicketSection, timeText } from '../../../ui'
import { StandInDialog } from '../order/stand-in-dialog'
import type { RaceDay } from '../use-race-day'

const RULE_WORDS = {
  'after-own-heat': 'the heat after your own',
  table: 'by the table below',
  none: 'the meeting has its own marshals',
} as const
const FIRST = 8

/** The crew's marshal duties, with stand-ins and what clashes; and the table where the meeting has one. */
export function MarshalPart({ day, duties }: { day: RaceDay; duties: DayDuties }) {
  const [all, setAll] = useState(false)
  const rule = day.view.meeting.get('meeting')?.marshalRule ?? 'after-own-heat'
  const heats = new Map(duties.input.heats.map((h) => [h.id, h]))
  const coming = duties.duties.filter((d) => (heats.get(d.heatId)?.expectedFinish ?? 0) >= day.now)
  const shown = all ? coming : coming.slice(0, FIRST)
  const clashes = duties.clashes.filter((c) => (heats.get(c.heatId)?.expectedStart ?? 0) >= day.now)
  return (
    <Ticket tone={clashes.length ? 'hot' : 'plain'} label="Marshal duty">
      <TicketHead
        title="Marshal duty"
        sub={RULE_WORDS[rule]}
        stub={
          <>
            <span className="num">{clashes.length}</span>
            <small>{clashes.length === 1 ? 'clash' : 'clashes'}</small>
          </>
        }
      />
      {coming.length === 0 && (
        <p className="ticket-body small">
          {rule === 'table'
            ? 'Nobody from the crew is in the table yet. Copy it below from the event’s board.'
            : 'No more marshal duty for the crew today.'}
        </p>
      )}
      <ul className="ruled" aria-label="Marshal duties">
        {shown.map((d) => (
          <li key={dutyId(d)}>
            <DutyRow
              day={day}
              duty={d}
              at={heats.get(d.heatId)?.expectedStart ?? 0}
              what={heats.get(d.heatId)?.label ?? 'Heat ?'}
              clash={clashes.find((c) => c.heatId === d.heatId && c.personId === d.doneBy)?.words ?? null}
            />
          </li>
        ))}
      </ul>
      {coming.length > FIRST && (
        <Button look="quiet" wide onPress={() => setAll(!all)}>
          {all ? 'Show only the next few' : `Show ${coming.length - FIRST} more`}
        </Button>
      )}
      <AddDuty day={day} duties={duties} />
    </Ticket>
  )
}

function DutyRow({
  day,
  duty,
  at,
  what,
  clash,
}: {
  day: RaceDay
  duty: MarshalDuty
  at: number
  what: string
  clash: string | null
}) {
  const [finding, setFinding] = useState(false)
  const id = dutyId(duty)
  const record = day.view.duties.get(id)
  const may = canWrite(day.ctx, 'meeting', 'duties', id, 'standInId')
  const mayRemove = record?.heatId !== undefined && canWrite(day.ctx, 'meeting', 'duties', id, 'removed')
  const swapped = duty.doneBy !== duty.owedBy
  const who =
    duty.doneBy === null
      ? `${day.nameOf(duty.owedBy)}, excused`
      : swapped
        ? `${day.nameOf(duty.doneBy)} for ${day.nameOf(duty.owedBy)}`
        : day.nameOf(duty.owedBy)
  const { done } = record ?? {}
  const ask = { heatId: duty.heatId, owedBy: duty.owedBy }
  const acts = [
    ...(done
      ? [
          {
            id: 'unsign',
            label: 'Remove the signature',
            said: 'Signature removed',
            act: () => signDuty(day.ctx, { ...ask, done: false }),
          },
        ]
      : [
          {
            id: 'sign',
            label: 'Done, sign it',
            said: 'Duty signed',
            act: () => signDuty(day.ctx, { ...ask, done: true }),
          },
        ]),
    ...(may && swapped
      ? [
          {
            id: 'own',
            label: `${day.nameOf(duty.owedBy)} does it after all`,
            said: 'Stand-in removed',
            act: () => setStandIn(day.ctx, { ...ask, standInId: undefined }),
          },
        ]
      : []),
    ...(mayRemove
      ? [
          {
            id: 'remove',
            label: 'Remove from the table',
            said: 'Duty removed from the table',
            act: () => removeDuty(day.ctx, ask),
          },
        ]
      : []),
  ]
  return (
    <div className="duty-item" data-duty={id} data-clash={clash ? '' : undefined}>
      <span className="num duty-when">{timeText(at)}</span>
      <span className="min-w-0">
        <b>{who}</b>
        <span className="small block">
          {what}
          {done && `, signed by ${day.nameOf(done.by)}`}
          {clash && <span className="duty-clash block">{clash}</span>}
        </span>
      </span>
      <span className="btn-row">
        <Button look={clash ? 'do' : 'plain'} isDisabled={!may} onPress={() => setFinding(true)}>
          Stand-in
        </Button>
        <Menu
          label={`More about ${who}, ${what}`}
          acts={acts.map((a) => ({
            id: a.id,
            label: a.label,
            onAct: () => void day.settle(a.act(), a.said),
          }))}
        />
      </span>
      <StandInDialog
        day={day}
        heatId={duty.heatId}
        owedBy={duty.owedBy}
        isOpen={finding}
        onOpenChange={setFinding}
      />
    </div>
  )
}

/** The notice board's table, copied by hand; also a single duty beside the meeting's rule. */
function AddDuty({ day, duties }: { day: RaceDay; duties: DayDuties }) {
  const [heatId, setHeatId] = useState<string | null>(null)
  const [personId, setPersonId] = useState<string | null>(null)
  if (!canWrite(day.ctx, 'meeting', 'duties', 'new.new', 'heatId')) return null
  const heats = duties.input.heats.filter((h) => h.expectedFinish >= day.now)
  const add = () => {
    if (!heatId || !personId) return
    if (day.settle(addDuty(day.ctx, day.view, { heatId, personId }), `${day.nameOf(personId)} marshals`))
      setPersonId(null)
  }
  return (
    <div className="no-print">
      <TicketSection title="Enter a duty by hand" />
      <div className="duty-add">
        <SelectField
          label="Heat to marshal"
          options={heats.map((h) => ({ id: h.id, label: h.label, detail: timeText(h.expectedStart) }))}
          value={heatId}
          onChange={setHeatId}
        />
        <SelectField
          label="Who"
          options={duties.input.people.filter((p) => p.mayMarshal).map((p) => ({ id: p.id, label: p.name }))}
          value={personId}
          onChange={setPersonId}
        />
        <Button isDisabled={!heatId || !personId} onPress={add}>
          Add to the table
        </Button>
      </div>
    </div>
  )
}
