import { Unit } from './unit'
import type { ReactNode } from 'react'

export interface TicketProps {
  /** What the ticket is, for those who can't see it; the head's title is used when left out. */
  label?: string
  /** `hot`: something is wrong; `calm`: help and greetings; `quiet`: away, past, not in use. */
  tone?: 'plain' | 'hot' | 'calm' | 'quiet'
  as?: 'article' | 'section' | 'aside'
  id?: string
  children: ReactNode
}

/** A shop ticket: one heavy rule on top, ruled rows below. Made of `TicketHead`, `TicketSection`, rows and `TicketBody`. */
export function Ticket({ label, tone = 'plain', as: Tag = 'section', id, children }: TicketProps) {
  return (
    <Tag id={id} aria-label={label} className={tone === 'plain' ? 'ticket' : `ticket ticket-${tone}`}>
      {children}
    </Tag>
  )
}

export interface TicketHeadProps {
  title: ReactNode
  /** Driver, class, car number: the line under the name. */
  sub?: ReactNode
  /** The stub at the right: what is called next and when. Numbers inside take the class `num`. */
  stub?: ReactNode
  /** `h1` on a page that is this ticket, `h2` in a list of tickets. */
  level?: 1 | 2 | 3
}

export function TicketHead({ title, sub, stub, level = 2 }: TicketHeadProps) {
  const Title = `h${level}` as const
  return (
    <header className="ticket-head">
      <div className="ticket-names">
        <Title>{title}</Title>
        {sub && <small>{sub}</small>}
      </div>
      {stub && <div className="ticket-stub">{stub}</div>}
    </header>
  )
}

/** A ruled heading inside a ticket, with room for a sum or an act at the right. */
export function TicketSection({
  title,
  aside,
  level = 3,
}: {
  title: ReactNode
  aside?: ReactNode
  level?: 2 | 3 | 4
}) {
  const Title = `h${level}` as const
  return (
    <div className="ticket-section">
      <Title className="text-[1em]">{title}</Title>
      {aside}
    </div>
  )
}

export function TicketBody({ children }: { children: ReactNode }) {
  return <div className="ticket-body">{children}</div>
}

/** Text set off by a bar at its edge: `hot` when something is wrong. */
export function Note({ tone = 'calm', children }: { tone?: 'calm' | 'hot'; children: ReactNode }) {
  return <div className={tone === 'hot' ? 'note note-hot' : 'note'}>{children}</div>
}

export interface FigureProps {
  label: ReactNode
  /** Already formatted; null when there is not enough to go by, and then `missing` says what is needed. */
  value: string | null
  unit?: string
  /** Half width, formatted, without the sign: projected figures always have one. */
  plusMinus?: string
  missing?: string
  children?: ReactNode
}

/** One projected or measured figure; put several into `Figures`. */
export function Figure({ label, value, unit, plusMinus, missing, children }: FigureProps) {
  return (
    <li>
      <span className="figure-label">{label}</span>
      {value === null ? (
        <span className="small">{missing ?? 'not known yet'}</span>
      ) : (
        <span className="figure-value num">
          {value}
          {plusMinus && <span className="spread"> ±{plusMinus}</span>}
          <Unit of={unit} />
        </span>
      )}
      {children}
    </li>
  )
}
export function Figures({ label, children }: { label: string; children: ReactNode }) {
  return (
    <ul className="figures" aria-label={label}>
      {children}
    </ul>
  )
}
