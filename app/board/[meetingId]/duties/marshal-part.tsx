'use client'
import { useBoard, useNow, useEditContext, useNameOf, useSettle } from '@/app/sync'
import { useState } from 'react'
import { addDuty, canWrite, removeDuty, setStandIn, signDuty } from '@/lib/board'
import { dutyId, type DayDuties } from '@/lib/card'
import type { MarshalDuty } from '@/lib/planner'
import { Button, Menu, SelectField, Ticket, TicketHead, TicketSection, timeText } from '@/app/ui'
import { StandInDialog } from '@/app/meeting/stand-in-dialog'

const RULE_WORDS = {
  'after-own-heat': 'the heat after your own',
  table: 'by the table below',
  none: 'the meeting has its own marshals',
} as const
const FIRST = 8

/** The crew's marshal duties, with stand-ins and what clashes; and the table where the meeting has one. */
export function MarshalPart({ duties }: { duties: DayDuties }) {
  const view = useBoard()
  const now = useNow(10_000)
  const [all, setAll] = useState(false)
  const rule = view.meeting.get('meeting')?.marshalRule ?? 'after-own-heat'
  const heats = new Map(duties.input.heats.map((h) => [h.id, h]))
  const coming = duties.duties.filter((d) => (heats.get(d.heatId)?.expectedFinish ?? 0) >= now)
  const shown = all ? coming : coming.slice(0, FIRST)
  const clashes = duties.clashes.filter((c) => (heats.get(c.heatId)?.expectedStart ?? 0) >= now)
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
            ? 'Nobody from the crew is in the table yet. Copy it below from the organizer’s board.'
            : 'No more marshal duty for the crew today.'}
        </p>
      )}
      <ul className="ruled" aria-label="Marshal duties">
        {shown.map((d) => (
          <li key={dutyId(d)}>
            <DutyRow
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
      <AddDuty duties={duties} />
    </Ticket>
  )
}

function DutyRow({
  duty,
  at,
  what,
  clash,
}: {
  duty: MarshalDuty
  at: number
  what: string
  clash: string | null
}) {
  const view = useBoard()
  const ctx = useEditContext()
  const nameOf = useNameOf()
  const settle = useSettle()
  const [finding, setFinding] = useState(false)
  const id = dutyId(duty)
  const record = view.duties.get(id)
  const may = canWrite(ctx, 'meeting', 'duties', id, 'standInId')
  const mayRemove = record?.heatId !== undefined && canWrite(ctx, 'meeting', 'duties', id, 'removed')
  const swapped = duty.doneBy !== duty.owedBy
  const who =
    duty.doneBy === null
      ? `${nameOf(duty.owedBy)}, excused`
      : swapped
        ? `${nameOf(duty.doneBy)} for ${nameOf(duty.owedBy)}`
        : nameOf(duty.owedBy)
  const { done } = record ?? {}
  const ask = { heatId: duty.heatId, owedBy: duty.owedBy }
  const acts = [
    ...(done
      ? [
          {
            id: 'unsign',
            label: 'Remove the signature',
            said: 'Signature removed',
            act: () => signDuty(ctx, { ...ask, done: false }),
          },
        ]
      : [
          {
            id: 'sign',
            label: 'Done, sign it',
            said: 'Duty signed',
            act: () => signDuty(ctx, { ...ask, done: true }),
          },
        ]),
    ...(may && swapped
      ? [
          {
            id: 'own',
            label: `${nameOf(duty.owedBy)} does it after all`,
            said: 'Stand-in removed',
            act: () => setStandIn(ctx, { ...ask, standInId: undefined }),
          },
        ]
      : []),
    ...(mayRemove
      ? [
          {
            id: 'remove',
            label: 'Remove from the table',
            said: 'Duty removed from the table',
            act: () => removeDuty(ctx, ask),
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
          {done && `, signed by ${nameOf(done.by)}`}
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
            onAct: () => void settle(a.act(), a.said),
          }))}
        />
      </span>
      <StandInDialog heatId={duty.heatId} owedBy={duty.owedBy} isOpen={finding} onOpenChange={setFinding} />
    </div>
  )
}

/** The notice board's table, copied by hand; also a single duty beside the meeting's rule. */
function AddDuty({ duties }: { duties: DayDuties }) {
  const ctx = useEditContext()
  const now = useNow(10_000)
  const settle = useSettle()
  const view = useBoard()
  const nameOf = useNameOf()
  const [heatId, setHeatId] = useState<string | null>(null)
  const [personId, setPersonId] = useState<string | null>(null)
  if (!canWrite(ctx, 'meeting', 'duties', 'new.new', 'heatId')) return null
  const heats = duties.input.heats.filter((h) => h.expectedFinish >= now)
  const add = () => {
    if (!heatId || !personId) return
    if (settle(addDuty(ctx, view, { heatId, personId }), `${nameOf(personId)} marshals`)) setPersonId(null)
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
