'use client'
import type { ReactNode } from 'react'
import { countdownText, DAY_SAYS_MORE_MS, durationText } from './time-text'
import { useNow } from './clock-context'

export interface LooseEndRowProps {
  /** When it bites, ms since the epoch; null when no coming run depends on it. */
  bitesAt: number | null
  what: ReactNode
  why?: ReactNode
  who?: ReactNode
  /** The one tap that closes it. */
  act?: ReactNode
}

/** What would stop or hurt a coming run: how soon, what, why, who, and the one tap that closes it. */
export function LooseEndRow({ bitesAt, what, why, who, act }: LooseEndRowProps) {
  const now = useNow(10_000)
  const left = bitesAt === null ? null : bitesAt - now
  return (
    <div className="loose-row" data-late={left !== null && left < 5 * 60_000 ? '' : undefined}>
      <div className="loose-when num">
        {left === null ? (
          <span className="small">no run due</span>
        ) : bitesAt !== null && left <= -DAY_SAYS_MORE_MS ? (
          <span className="small">{countdownText(left, bitesAt)}</span>
        ) : left < 0 ? (
          <>
            {durationText(-left)}
            <span className="small"> past due</span>
          </>
        ) : (
          durationText(left)
        )}
      </div>
      <div className="min-w-0">
        <div className="font-semibold">{what}</div>
        {(why || who) && (
          <div className="small">
            {why}
            {why && who && ' · '}
            {who}
          </div>
        )}
      </div>
      {act && <div className="loose-act">{act}</div>}
    </div>
  )
}

/** The list around the rows; give each row in an `li`. */
export function LooseEndList({ label = 'Loose ends', children }: { label?: string; children: ReactNode }) {
  return (
    <ul className="loose-list" aria-label={label}>
      {children}
    </ul>
  )
}
