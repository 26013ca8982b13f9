'use client'
import { useCallback, useEffect, useRef, useState } from 'react'
import {
  PIECE_BYTES,
  type ArchivePlan,
  type ArchiveTaken,
  type ConflictChoice,
  type ImportStarted,
} from '@/lib/archive'
import type { Refusal } from '@/lib/core/result'
import { askAgain, AskError, askServer } from './ask-server'

export type ImportState =
  | { step: 'none' }
  /** `sent`: share of 1. */
  | { step: 'sending'; sent: number }
  | { step: 'looking' }
  | { step: 'planned'; id: string; plan: ArchivePlan }
  | { step: 'taking' }
  | { step: 'taken'; taken: ArchiveTaken }
  | { step: 'refused'; refusal: Refusal }

/** What is dropped twice, or was never begun, is gone all the same. */
const dropOnServer = (id: string) => void askServer(`/api/imports/${id}/drop`, {}).catch(() => undefined)

/** An archive on its way in: sent in pieces, looked at by the server, then brought in or dropped, at the latest when the screen is left. */
export function useArchiveImport() {
  const [state, setState] = useState<ImportState>({ step: 'none' })
  /** What the server keeps for this screen. */
  const kept = useRef<string | null>(null)
  const forget = useCallback(() => {
    if (kept.current !== null) dropOnServer(kept.current)
    kept.current = null
  }, [])
  useEffect(() => forget, [forget])
  const guarded = useCallback(
    async (work: () => Promise<void>) => {
      try {
        await work()
      } catch (e) {
        if (!(e instanceof AskError)) throw e
        forget()
        setState({ step: 'refused', refusal: e.refusal })
      }
    },
    [forget],
  )
  const send = useCallback(
    (file: File) =>
      guarded(async () => {
        setState({ step: 'sending', sent: 0 })
        const { id } = await askAgain(
          () => askServer<ImportStarted>('/api/imports', { bytes: file.size, name: file.name.slice(0, 255) }),
          [429],
        )
        kept.current = id
        for (let at = 0; at < file.size; at += PIECE_BYTES) {
          // The screen was left.
          if (kept.current !== id) return dropOnServer(id)
          const piece = file.slice(at, at + PIECE_BYTES)
          await askAgain(() => askServer(`/api/imports/${id}/pieces/${at}`, piece), [429, 0])
          setState({ step: 'sending', sent: Math.min(1, (at + PIECE_BYTES) / file.size) })
        }
        setState({ step: 'looking' })
        const plan = await askAgain(() => askServer<ArchivePlan>(`/api/imports/${id}/plan`, {}), [429])
        if (kept.current === id) setState({ step: 'planned', id, plan })
        else dropOnServer(id)
      }),
    [guarded],
  )
  const take = useCallback(
    (id: string, digest: string, conflicts: ConflictChoice) =>
      guarded(async () => {
        setState({ step: 'taking' })
        const taken = await askAgain(
          () => askServer<ArchiveTaken>(`/api/imports/${id}/take`, { digest, conflicts }),
          [429],
        )
        // The server has dropped it itself.
        kept.current = null
        setState({ step: 'taken', taken })
      }),
    [guarded],
  )
  const drop = useCallback(() => {
    forget()
    setState({ step: 'none' })
  }, [forget])
  return { state, send, take, drop }
}
