'use client'
import { useState } from 'react'
import { fieldDef } from '@/lib/board'
import type { Refusal } from '@/lib/core/result'
import type { HistoryEntry, HistoryResponse } from '@/lib/sync/history-api'
import { shownValue } from '@/app/words/shown-value'
import { useBoard, useNow } from '@/app/sync'
import { Button, RefusalText, Ticket, TicketBody, TicketHead, whenText } from '@/app/ui'
import { callApi } from '@/app/ui/call-api'

type Loaded = { entries: HistoryEntry[]; next: number | null }
const PAGE = 30

/** Who changed what on this record, and when. Asked from the server on demand: phones keep the present, the server keeps the past. */
export function RecordHistory({ collection, recordId }: { collection: string; recordId: string }) {
  const view = useBoard()
  const now = useNow(60_000)
  const [loaded, setLoaded] = useState<Loaded | null>(null)
  const [refusal, setRefusal] = useState<Refusal | null>(null)
  const [busy, setBusy] = useState(false)
  const load = async (before: number | null) => {
    setBusy(true)
    const query = new URLSearchParams({ room: 'kit', collection, recordId, limit: String(PAGE) })
    if (before !== null) query.set('beforeSeq', String(before))
    const answer = await callApi<HistoryResponse>(`/api/history?${query}`)
    setBusy(false)
    setRefusal(answer.ok ? null : answer.error)
    if (!answer.ok) return
    const older = before === null ? [] : (loaded?.entries ?? [])
    setLoaded({ entries: [...older, ...answer.value.entries], next: answer.value.nextBeforeSeq })
  }
  const person = (id: string) => view.people.get(id)?.name ?? (id === 'server' ? 'The board' : 'somebody')
  const show = (field: string, value: HistoryEntry['after']) => {
    return shownValue(view, { doc: 'kit', collection, field }, value) || 'nothing'
  }
  return (
    <Ticket>
      <TicketHead title="History" />
      <TicketBody>
        {refusal && (
          <div className="refusal" role="alert">
            <RefusalText refusal={refusal} />
          </div>
        )}
        {!loaded && (
          <div className="btn-row">
            <Button isDisabled={busy} onPress={() => void load(null)}>
              {busy ? 'Asking the server' : 'Show who changed what'}
            </Button>
          </div>
        )}
        {loaded?.entries.length === 0 && <p className="small">No changes since it was made.</p>}
        {loaded && loaded.entries.length > 0 && (
          <ul className="ruled">
            {loaded.entries.map((e) => (
              <li key={e.seq} className="py-2">
                <b>{fieldDef('kit', collection, e.field)?.label ?? 'A field'}</b>: {show(e.field, e.before)} →{' '}
                {e.outcome === 'refused' ? <s>{show(e.field, e.after)}</s> : show(e.field, e.after)}
                <span className="small block">
                  {person(e.personId)}, {whenText(e.at, now)}
                  {e.outcome === 'refused' && ', refused'}
                  {e.outcome === 'overwritten' && ', overwritten by a later change'}
                </span>
              </li>
            ))}
          </ul>
        )}
        {loaded?.next && (
          <div className="btn-row">
            <Button isDisabled={busy} onPress={() => void load(loaded.next)}>
              Older changes
            </Button>
          </div>
        )}
      </TicketBody>
    </Ticket>
  )
}
