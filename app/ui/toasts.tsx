'use client'
import { createContext, useContext, useState, type ReactNode } from 'react'
import {
  Text,
  UNSTABLE_Toast as AriaToast,
  UNSTABLE_ToastContent as ToastContent,
  UNSTABLE_ToastQueue as ToastQueue,
  UNSTABLE_ToastRegion as ToastRegion,
} from 'react-aria-components'
import type { Refusal } from '@/lib/core/result'
import { Button } from './button'
import { RefusalText } from './panels'

export type ToastNews =
  | { kind: 'said'; text: string }
  /** Something was done that one tap takes back. */
  | { kind: 'undo'; text: string; onUndo: () => void }
  | { kind: 'refused'; refusal: Refusal }

export interface Toasts {
  say: (text: string) => void
  offerUndo: (text: string, onUndo: () => void) => void
  refused: (refusal: Refusal) => void
  /** What is offered belongs to a board that has closed. */
  clear: () => void
}

const ToastContext = createContext<Toasts | null>(null)

/** ms; an undo offer stays long enough to walk back to the bench, a refusal until it is read and closed. */
const STAY = { said: 6_000, undo: 12_000 } as const

export function ToastRoot({ children }: { children: ReactNode }) {
  const [queue] = useState(() => new ToastQueue<ToastNews>({ maxVisibleToasts: 3 }))
  const [toasts] = useState<Toasts>(() => ({
    say: (text) => void queue.add({ kind: 'said', text }, { timeout: STAY.said }),
    offerUndo: (text, onUndo) => void queue.add({ kind: 'undo', text, onUndo }, { timeout: STAY.undo }),
    refused: (refusal) => void queue.add({ kind: 'refused', refusal }),
    clear: () => queue.clear(),
  }))
  return (
    <ToastContext.Provider value={toasts}>
      {children}
      <ToastRegion queue={queue} className="toasts" aria-label="News">
        {({ toast }) => <UndoToast news={toast.content} close={() => queue.close(toast.key)} toast={toast} />}
      </ToastRegion>
    </ToastContext.Provider>
  )
}

type QueuedToast = Parameters<typeof AriaToast<ToastNews>>[0]['toast']

function UndoToast({ news, toast, close }: { news: ToastNews; toast: QueuedToast; close: () => void }) {
  return (
    <AriaToast toast={toast} className={news.kind === 'refused' ? 'toast toast-hot' : 'toast'}>
      <ToastContent className="min-w-0 py-1">
        <Text slot="title">
          {news.kind === 'refused' ? (
            <span className="refusal-line">
              Not taken. <RefusalText refusal={news.refusal} />
            </span>
          ) : (
            news.text
          )}
        </Text>
      </ToastContent>
      <span className="flex gap-1">
        {news.kind === 'undo' && (
          <Button
            onPress={() => {
              news.onUndo()
              close()
            }}
          >
            Undo
          </Button>
        )}
        <Button slot="close" look="quiet" aria-label="Close">
          <svg width="14" height="14" viewBox="0 0 14 14" aria-hidden="true">
            <path d="M1 1l12 12M13 1L1 13" stroke="currentColor" strokeWidth="2.5" />
          </svg>
        </Button>
      </span>
    </AriaToast>
  )
}

/** @throws outside `ToastRoot`. */
export function useToasts(): Toasts {
  const toasts = useContext(ToastContext)
  if (!toasts) throw new Error('useToasts needs ToastRoot above it')
  return toasts
}
