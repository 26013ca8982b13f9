'use client'
import { CAR_PARAMETERS, CARD_GROUPS, changeRecord, escParameterId, type CardGroup } from '@/lib/board'
import { useAct, useBoard, useMay } from '@/app/sync'
import { Note, Tick, Ticket, TicketHead, TicketSection } from '@/app/ui'
import { nameOf } from '@/app/record/ref-options'

interface Trigger {
  id: string
  label: string
  detail?: string
}

/** Which values of a card call for a follow-up when they change. */
export function TriggerList({ ruleId }: { ruleId: string }) {
  const view = useBoard()
  const act = useAct()
  const may = useMay('kit', 'followUpRules', ruleId, 'triggers')
  const rule = view.followUpRules.get(ruleId)
  const chosen = rule?.triggers ?? []
  const anyControl = chosen.includes('esc.*')
  const ofGroup = (group: CardGroup): Trigger[] =>
    group === 'control'
      ? [
          { id: 'esc.*', label: 'Any speed-control value' },
          ...view.controllerParameters.live.map((p) => ({
            id: escParameterId(p.id),
            label: p.label ?? p.id,
            detail: nameOf(view.controllers.get(p.controllerId)),
          })),
        ]
      : CAR_PARAMETERS.filter((p) => p.group === group).map((p) => ({ id: p.id, label: p.label }))
  const known = new Set(CARD_GROUPS.flatMap((g) => ofGroup(g.id).map((t) => t.id)))
  const unknown = chosen.filter((t) => !known.has(t))
  const set = (id: string, on: boolean) => {
    const triggers = on ? [...chosen, id] : chosen.filter((t) => t !== id)
    // A rule without triggers is an empty field: the list itself may not be empty.
    act((ctx) =>
      changeRecord(ctx, 'kit', 'followUpRules', ruleId, { triggers: triggers.length ? triggers : null }),
    )
  }
  return (
    <Ticket>
      <TicketHead
        title="Called for by"
        sub="When one of these values changes in a car, the follow-up opens for that car"
      />
      {unknown.length > 0 && (
        <Note tone="hot">
          Also listed, but no longer on any card: {unknown.join(', ')}. Their speed control was removed or
          replaced.
        </Note>
      )}
      {CARD_GROUPS.map((group) => (
        <div key={group.id}>
          <TicketSection title={group.name} />
          <div className="trigger-grid" role="group" aria-label={group.name}>
            {ofGroup(group.id).map((t) => (
              <Tick
                key={t.id}
                isSelected={chosen.includes(t.id) || (anyControl && t.id.startsWith('esc.'))}
                isDisabled={!may || (anyControl && t.id.startsWith('esc.') && t.id !== 'esc.*')}
                onChange={(on) => set(t.id, on)}
                detail={t.detail}
              >
                {t.label}
              </Tick>
            ))}
          </div>
        </div>
      ))}
    </Ticket>
  )
}
