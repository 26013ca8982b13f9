'use client'
import { useCallback, useEffect, useRef, useState } from 'react'
import type { Refusal } from '@/lib/core/result'
import type { HistoryEntry, HistoryResponse } from '@/lib/sync/history-api'
import { callApi } from '@/app/ui/call-api'

/** What of a room's audit trail is asked for. */
export interface HistoryQuestion {
  room: string
  collection?: string
  recordId?: string
  field?: string
}

export interface HistoryState {
  /** Newest first; null until the server has answered once. */
  entries: readonly HistoryEntry[] | null
  refusal: Refusal | null
  busy: boolean
  /** There are older ones that were not fetched yet. */
  hasMore: boolean
  more: () => void
  retry: () => void
}

/** One request brings this many lines. */
const PAGE = 200
/** A filter that matches little must not fetch a whole season in one go. */
const MOST_PAGES = 8

/**
 * Who changed what, asked from the server: phones keep the present, the server keeps the past. `matches` filters here; pages are fetched until
 * `enough` lines match or the trail ends.
 */
export function useHistory(
  question: HistoryQuestion,
  matches?: (entry: HistoryEntry) => boolean,
  enough = 60,
): HistoryState {
  const [state, setState] = useState<Omit<HistoryState, 'more' | 'retry'>>({
    entries: null,
    refusal: null,
    busy: true,
    hasMore: false,
  })
  const next = useRef<number | null>(null)
  const turn = useRef(0)
  const { room, collection, recordId, field } = question

  const fetchPages = useCallback(
    async (from: number | null, kept: readonly HistoryEntry[]) => {
      const mine = ++turn.current
      setState((s) => ({ ...s, busy: true, refusal: null, entries: from === null ? null : s.entries }))
      let before = from
      const found: HistoryEntry[] = []
      for (let page = 0; page < MOST_PAGES; page++) {
        const query = new URLSearchParams({ room, limit: String(PAGE) })
        for (const [key, value] of Object.entries({ collection, recordId, field }))
          if (value !== undefined) query.set(key, value)
        if (before !== null) query.set('beforeSeq', String(before))
        const answer = await callApi<HistoryResponse>(`/api/history?${query}`)
        if (turn.current !== mine) return
        if (!answer.ok) {
          setState({ entries: kept.length ? kept : null, refusal: answer.error, busy: false, hasMore: false })
          return
        }
        found.push(...answer.value.entries.filter((e) => !matches || matches(e)))
        before = answer.value.nextBeforeSeq
        if (before === null || found.length >= enough) break
      }
      next.current = before
      setState({ entries: [...kept, ...found], refusal: null, busy: false, hasMore: before !== null })
    },
    [room, collection, recordId, field, matches, enough],
  )
  useEffect(() => {
    // Asked after this render: the first state already says that the answer is on its way.
    const timer = setTimeout(() => void fetchPages(null, []))
    const turns = turn
    return () => {
      clearTimeout(timer)
      turns.current++
    }
  }, [fetchPages])

  return {
    ...state,
    more: () => void fetchPages(next.current, state.entries ?? []),
    retry: () => void fetchPages(null, []),
  }
}
