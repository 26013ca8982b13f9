'use client'
import { useEffect, useState } from 'react'
import { showJson } from '@/lib/board'
import type { Refusal } from '@/lib/core/result'
import type { HistoryEntry, HistoryResponse } from '@/lib/sync/history-api'
import { Dialog, RefusalText, whenText } from '../../../../ui'
import { callApi } from '../../../../ui/call-api'
import type { RaceDay } from '../../use-race-day'

const FIELDS: Record<string, string> = {
  assigned: 'assigned',
  fitted: 'fitted',
  readBack: 'read back',
  cannot: 'can’t be fitted',
}

/** Everything that was ever said of one value, newest first: also what was overwritten in a race, and what was not taken. */
export function ValueHistory({
  day,
  recordId,
  label,
  unit,
  onClose,
}: {
  day: RaceDay
  recordId: string
  label: string
  unit: string
  onClose: () => void
}) {
  const [entries, setEntries] = useState<HistoryEntry[] | null>(null)
  const [refusal, setRefusal] = useState<Refusal | null>(null)
  useEffect(() => {
    const query = new URLSearchParams({
      room: `meeting-${day.meetingId}`,
      collection: 'cardValues',
      recordId,
      limit: '100',
    })
    let gone = false
    void callApi<HistoryResponse>(`/api/history?${query}`).then((answer) => {
      if (gone) return
      if (answer.ok) setEntries(answer.value.entries)
      else setRefusal(answer.error)
    })
    return () => {
      gone = true
    }
  }, [day.meetingId, recordId])
  const show = (value: HistoryEntry['after']) => {
    const text = showJson(value)
    return text === '' ? 'nothing' : `${text}${unit ? ` ${unit}` : ''}`
  }
  return (
    <Dialog title={`History of ${label}`} isOpen onOpenChange={(open) => !open && onClose()}>
      {refusal && (
        <div className="refusal" role="alert">
          <RefusalText refusal={refusal} />
        </div>
      )}
      {!entries && !refusal && <p role="status">Asking the server …</p>}
      {entries?.length === 0 && <p>Nothing has been saved for this value yet.</p>}
      {entries && entries.length > 0 && (
        <ol className="ruled">
          {entries.map((e) => (
            <li key={e.seq} className="history-row" data-outcome={e.outcome}>
              <span>
                {FIELDS[e.field] ?? e.field}{' '}
                {e.outcome === 'accepted' ? (
                  <b className="num">{show(e.after)}</b>
                ) : (
                  <s className="num">{show(e.after)}</s>
                )}
                <span className="small"> was {show(e.before)}</span>
              </span>
              <span className="small">
                {e.personId === 'server' ? 'the board' : day.nameOf(e.personId)}, {whenText(e.at, day.now)}
                {e.outcome === 'overwritten' && ' · overwritten: another phone’s change won'}
                {e.outcome === 'refused' && ' · not taken'}
              </span>
            </li>
          ))}
        </ol>
      )}
    </Dialog>
  )
}
