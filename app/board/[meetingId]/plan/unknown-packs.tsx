'use client'
import { useBoard, useSettle, useEditContext } from '@/app/sync'
import { setPackState, type PackState } from '@/lib/board'
import { PACK_STATE_WORDS } from '@/lib/card'
import { compareNames } from '@/lib/core/compare-names'
import { Button, Ticket, TicketHead } from '@/app/ui'

/** What a pack on the bench usually is before a plan is made. */
const STATES: readonly PackState[] = ['storage', 'charged', 'used']

/** Packs that nobody has said a state of: the plan can only guess. One tap each. */
export function UnknownPacks() {
  const view = useBoard()
  const settle = useSettle()
  const ctx = useEditContext()
  const packs = view.packs.live.filter((p) => !p.state?.v).toSorted((a, b) => compareNames(a.label, b.label))
  if (packs.length === 0) return null
  const set = (packId: string, label: string, state: PackState) =>
    settle(
      setPackState(ctx, { packId, state, chargePercent: state === 'charged' ? 100 : undefined }),
      `${label} is ${PACK_STATE_WORDS[state]}`,
    )
  return (
    <Ticket label="Packs without a state" tone="hot">
      <TicketHead
        title={`${packs.length} ${packs.length === 1 ? 'pack has' : 'packs have'} no state: set ${packs.length === 1 ? 'it' : 'them'}`}
        sub="the plan can’t tell which of them are full"
      />
      <ul className="ruled">
        {packs.map((p) => (
          <li key={p.id} className="ticket-body flex flex-wrap items-center gap-2">
            <span className="num min-w-12">{p.label ?? '?'}</span>
            {STATES.map((s) => (
              <Button
                key={s}
                aria-label={`${p.label ?? 'Pack'} is ${PACK_STATE_WORDS[s]}`}
                onPress={() => set(p.id, p.label ?? 'Pack', s)}
              >
                {PACK_STATE_WORDS[s]}
              </Button>
            ))}
          </li>
        ))}
      </ul>
    </Ticket>
  )
}
