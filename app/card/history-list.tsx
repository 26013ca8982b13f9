'use client'
import type { ReactNode } from 'react'
import type { HistoryEntry } from '@/lib/sync/history-api'
import { Button, Offline, RefusalText, whenText } from '@/app/ui'
import type { HistoryState } from './use-history'
import './card-parts.css'

export interface HistoryLine {
  /** What was changed: a value's name, or record and field. */
  what: ReactNode
  before: string
  after: string
  /** A reason that came with it. */
  why?: string | undefined
}

export interface HistoryListProps {
  history: HistoryState
  describe: (entry: HistoryEntry) => HistoryLine
  nameOf: (personId: string) => string
  now: number
  empty: string
}

/** Figures stand in the number face, words do not. */
const faceOf = (text: string): string | undefined => (/^[-+]?\d/.test(text) ? 'num' : undefined)

/** Changes, newest first: also what another phone's change overwrote, and what the board did not take. */
export function HistoryList({ history, describe, nameOf, now, empty }: HistoryListProps) {
  const { entries, refusal, busy, hasMore } = history
  return (
    <div className="grid gap-2">
      {refusal &&
        (refusal.field === 'Server' ? (
          <Offline
            title="History is on the server, and the server does not answer"
            acts={<Button onPress={history.retry}>Try again</Button>}
          >
            <p>What the card says now is on this phone anyway. Try again when the network is back.</p>
          </Offline>
        ) : (
          <div className="refusal" role="alert">
            <RefusalText refusal={refusal} />
          </div>
        ))}
      {busy && !entries && <p role="status">Asking the server …</p>}
      {entries?.length === 0 && <p className="small">{empty}</p>}
      {entries && entries.length > 0 && (
        <ol className="ruled history-list">
          {entries.map((e) => {
            const line = describe(e)
            return (
              <li key={e.seq} className="history-row" data-outcome={e.outcome}>
                <span className="history-when num">{whenText(e.at, now)}</span>
                <span className="min-w-0">
                  {line.what}:{' '}
                  {line.before ? (
                    <>
                      <span className={faceOf(line.before)}>{line.before}</span> →{' '}
                    </>
                  ) : (
                    !/^(signed|written)/.test(line.after) && 'set to '
                  )}
                  {e.outcome === 'accepted' ? (
                    <b className={faceOf(line.after)}>{line.after || 'nothing'}</b>
                  ) : (
                    <s className={faceOf(line.after)}>{line.after || 'nothing'}</s>
                  )}
                  <span className="small block">
                    {e.personId === 'server' ? 'the board' : nameOf(e.personId)}
                    {line.why && `: “${line.why}”`}
                    {e.outcome === 'overwritten' && <b> · overwritten by a change from another phone</b>}
                    {e.outcome === 'refused' && <b> · refused by the board</b>}
                  </span>
                </span>
              </li>
            )
          })}
        </ol>
      )}
      {entries && hasMore && (
        <div className="btn-row">
          <Button isDisabled={busy} onPress={history.more}>
            {busy ? 'Asking the server' : 'Older changes'}
          </Button>
        </div>
      )}
    </div>
  )
}
