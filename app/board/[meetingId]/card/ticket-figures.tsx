'use client'
import { memo, useLayoutEffect, useRef } from 'react'
import { useOverviewDesk } from '@/app/card/projection-context'
import type { TicketFigures as Ticket } from '@/app/card/overview-messages'
import { withUnit } from '@/lib/core/figure-text'
import { figureIn } from '@/lib/core/speed-unit'
import { watchSight } from '@/app/ui/sight'
import { speedUnit, watchSpeedUnit } from '@/app/ui/speed-unit'
import { writeText } from '@/app/ui/write-text'
import '@/app/card/card-parts.css'

const FIGURES = [
  { id: 'rollout', label: 'Rollout' },
  { id: 'topSpeed', label: 'Top speed on this track' },
  { id: 'can', label: 'Motor can at the finish' },
]
const ARITHMETIC = 'rollout'
const COMING = '…'
const NOT_KNOWN = '–'
const OPEN_SPREAD = '±…'

/**
 * What the card does, in the figures that a short ticket has room for. They are written past React, each into a line of its own with room kept for it: an
 * edit that all cards rest on changes a few lines of text, and nothing around them.
 */
export const TicketFigures = memo(function TicketFigures({ carId, name }: { carId: string; name: string }) {
  const desk = useOverviewDesk()
  const list = useRef<HTMLUListElement>(null)
  useLayoutEffect(() => {
    const ul = list.current
    if (!ul) return
    let last: Ticket | null = null
    const { setInSight, stop } = desk.watch(carId, (ticket) => {
      last = ticket
      write(ul, ticket)
    })
    const leave = watchSight(ul, setInSight)
    const unwatch = watchSpeedUnit(() => last && write(ul, last))
    return () => {
      unwatch()
      leave()
      stop()
    }
  }, [desk, carId])
  return (
    <ul ref={list} className="figures card-figures" aria-label={`Projections for ${name}`}>
      {FIGURES.map(({ id, label }) => (
        <li key={id} data-projection={id}>
          <span className="figure-label">{label}</span>
          <span className="figure-value num">{COMING}</span>
          <span className="figure-more"> </span>
        </li>
      ))}
    </ul>
  )
})

/**
 * A stale figure is marked. The ± of a rough one is left open where the figure moved; that the others' is worked out anew as well is said above the list
 * (to mark them too would paint every ticket twice for an edit).
 */
function write(ul: HTMLUListElement, { figures, state }: Ticket) {
  for (const li of ul.children) {
    const id = li.getAttribute('data-projection')
    const found = figures.find((f) => f.id === id)
    const figure = found && figureIn(found, speedUnit())
    const [, value, more] = li.children
    if (!value || !more) continue
    const text = figure?.text ?? NOT_KNOWN
    // The arithmetic's part is of the card as it stands, unless that can't be at all.
    const isStale = state === 'refused' || (state === 'stale' && id !== ARITHMETIC)
    const isOpen =
      state === 'rough' &&
      id !== ARITHMETIC &&
      (text !== value.textContent || more.textContent.startsWith(OPEN_SPREAD))
    li.toggleAttribute('data-stale', isStale && figure !== undefined)
    writeText(value, text)
    const spread = isOpen ? OPEN_SPREAD : figure?.plusMinusText ? `±${figure.plusMinusText}` : ''
    writeText(more, figure ? withUnit(spread, figure.unit) : ' ')
  }
}
