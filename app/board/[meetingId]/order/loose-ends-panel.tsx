'use client'
import { useState } from 'react'
import { useNameOf, useSession } from '@/app/sync'
import type { LooseEnd } from '@/lib/card'
import { LooseEndList, LooseEndRow, Note, Ticket, TicketHead, Tick } from '@/app/ui'
import { whoText } from '@/app/meeting/who-text'
import { LooseEndAct } from './loose-end-act'

const FIRST = 8

export interface LooseEndsProps {
  ends: readonly LooseEnd[]
  total: number
  mine: number
  onlyMine: boolean
  onOnlyMine: (only: boolean) => void
}

/** Everything that would stop or hurt a coming run, most urgent first. */
export function LooseEnds({ ends, total, mine, onlyMine, onOnlyMine }: LooseEndsProps) {
  const me = useSession()
  const nameOf = useNameOf()
  const [all, setAll] = useState(false)
  const shown = all ? ends : ends.slice(0, FIRST)
  return (
    <Ticket as="aside" tone={total ? 'hot' : 'calm'} label="Loose ends">
      <TicketHead
        title="Loose ends"
        sub={total ? 'most urgent first' : 'nothing would stop a coming run'}
        stub={
          <>
            <span className="num">{total}</span>
            <small>{mine} for you</small>
          </>
        }
      />
      {total > 0 && mine < total && mine > 0 && (
        <div className="px-4 no-print">
          <Tick isSelected={onlyMine} onChange={onOnlyMine}>
            Only mine
          </Tick>
        </div>
      )}
      {total === 0 && (
        <Note>
          Every coming run has its card, pack, tires and checks. New loose ends show up here on their own.
        </Note>
      )}
      <LooseEndList>
        {shown.map((end) => (
          <li key={end.id} data-loose-end={end.id}>
            <LooseEndRow
              bitesAt={end.bitesAt}
              what={end.title}
              why={end.why}
              who={whoText(end.who, me.personId, nameOf)}
              act={<LooseEndAct end={end} />}
            />
          </li>
        ))}
      </LooseEndList>
      {ends.length > FIRST && (
        <button
          type="button"
          className="btn btn-quiet btn-wide no-print"
          onClick={() => setAll(!all)}
          aria-expanded={all}
        >
          {all ? 'Show only the most urgent' : `Show ${ends.length - FIRST} more`}
        </button>
      )}
    </Ticket>
  )
}
