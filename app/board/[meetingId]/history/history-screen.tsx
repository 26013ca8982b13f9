'use client'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { useBoard, useNameOf, useNow } from '@/app/sync'
import { useCallback, useEffect, useMemo, useRef } from 'react'
import { usePathname, useRouter, useSearchParams } from 'next/navigation'
import { collectionNames, COLLECTIONS } from '@/lib/board'
import type { HistoryEntry } from '@/lib/sync/history-api'
import { HistoryList } from '@/app/card/history-list'
import { carOfEntry, historyLine, isBookkeeping } from '@/app/card/history-words'
import { useHistory } from '@/app/card/use-history'
import { Button, ChoiceField, Link, SelectField, Ticket, TicketBody, TicketHead } from '@/app/ui'

const labels: Record<string, { label: string }> = COLLECTIONS.meeting

/** Who changed what on this board, newest first: of the whole day, or of one car. */
export function HistoryScreen() {
  const view = useBoard()
  const nameOf = useNameOf()
  const meetingId = useMeetingId()
  const now = useNow(60_000)
  const params = useSearchParams()
  const router = useRouter()
  const path = usePathname()
  const carId = params.get('car')
  const personId = params.get('who')
  const collection = params.get('of')
  const only = params.get('only')

  const set = (key: string, value: string | null) => {
    const next = new URLSearchParams(params)
    if (value === null) next.delete(key)
    else next.set(key, value)
    router.replace(`${path}?${next}`, { scroll: false })
  }
  // Asking anew with every edit of the day would be noise: the filter reads the newest view, but does not depend on it.
  const latest = useRef(view)
  useEffect(() => {
    latest.current = view
  }, [view])
  const matches = useCallback(
    (e: HistoryEntry) =>
      !isBookkeeping(e) &&
      (!carId || carOfEntry(latest.current, e) === carId) &&
      (!personId || e.personId === personId) &&
      (!collection || e.collection === collection) &&
      (only !== 'lost' || e.outcome !== 'accepted'),
    [carId, personId, collection, only],
  )
  const question = useMemo(
    () => ({ room: `meeting-${meetingId}`, ...(collection && { collection }) }),
    [meetingId, collection],
  )
  const history = useHistory(question, matches)
  const car = view.cars.get(carId)
  return (
    <div className="page">
      <h1>{car ? `History of ${car.name ?? 'the car'}` : 'History of the day'}</h1>
      {car && (
        <p>
          <Link href={`/board/${meetingId}/card/${car.id}`}>Back to its card</Link>
        </p>
      )}
      <div className="split">
        <Ticket>
          <TicketHead title="Changes" sub="as saved on the server, newest first" />
          <TicketBody>
            <div className="btn-row no-print">
              <Button isDisabled={history.busy} onPress={history.retry}>
                Refresh
              </Button>
            </div>
            <HistoryList
              history={history}
              describe={(e) => historyLine(view, e)}
              nameOf={nameOf}
              now={now}
              empty="No changes like this so far."
            />
          </TicketBody>
        </Ticket>
        <Ticket>
          <TicketHead title="Show" />
          <TicketBody>
            <SelectField
              label="Car"
              none="The whole day"
              options={view.cars.live.map((c) => ({ id: c.id, label: c.name ?? 'Car' }))}
              value={carId}
              onChange={(v) => set('car', v)}
            />
            <SelectField
              label="Who"
              none="Everybody"
              options={view.people.live.map((p) => ({ id: p.id, label: p.name ?? 'Somebody' }))}
              value={personId}
              onChange={(v) => set('who', v)}
            />
            <SelectField
              label="What"
              none="Everything"
              options={collectionNames('meeting').map((id) => ({ id, label: labels[id]?.label ?? id }))}
              value={collection}
              onChange={(v) => set('of', v)}
            />
            <ChoiceField
              label="Outcome"
              options={[
                { id: 'all', label: 'All' },
                { id: 'lost', label: 'Overwritten or refused' },
              ]}
              value={only === 'lost' ? 'lost' : 'all'}
              onChange={(v) => set('only', v === 'lost' ? 'lost' : null)}
            />
          </TicketBody>
        </Ticket>
      </div>
    </div>
  )
}
