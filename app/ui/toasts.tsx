'use client'
import { createContext, useContext, useEffect, useState, useSyncExternalStore, type ReactNode } from 'react'
import type { Refusal } from '@/lib/core/result'
import { Button } from './button'
import { RefusalText } from './panels'
import { changeText, ToastStore, type ChangeSaid, type ToastNews } from './toast-store'

export interface Toasts {
  say: (text: string) => void
  /** `said`: what was done, in the past tense, or the field that was changed. */
  offerUndo: (said: string | ChangeSaid, onUndo: () => void) => void
  refused: (refusal: Refusal) => void
  /** What is offered belongs to a page or a board that was left. */
  clear: () => void
}

interface Both {
  store: ToastStore
  toasts: Toasts
}

const ToastContext = createContext<Both | null>(null)

function both(): Both {
  const store = new ToastStore()
  return {
    store,
    toasts: {
      say: (text) => store.add({ kind: 'said', text }),
      offerUndo: (said, onUndo) =>
        store.add(
          typeof said === 'string'
            ? { kind: 'undo', text: said, change: null, onUndo }
            : { kind: 'undo', text: changeText(said), change: said, onUndo },
        ),
      refused: (refusal) => store.add({ kind: 'refused', refusal }),
      clear: store.clear,
    },
  }
}

/** Shows one notice at a time, above the page and away from the thumb; in a dialog, `DialogNews` shows what was refused. */
export function ToastRoot({ children }: { children: ReactNode }) {
  const [value] = useState(both)
  return (
    <ToastContext.Provider value={value}>
      {children}
      <section className="toasts" aria-label="News">
        <ShownToast store={value.store} inDialog={false} />
      </section>
    </ToastContext.Provider>
  )
}

/** Inside a dialog: what was refused there, in its place. News of what was done waits until it is closed. */
export function DialogNews() {
  const value = useContext(ToastContext)
  const store = value?.store
  useEffect(() => store?.dialog(), [store])
  return store ? <ShownToast store={store} inDialog /> : null
}

function ShownToast({ store, inDialog }: { store: ToastStore; inDialog: boolean }) {
  const news = useSyncExternalStore(store.subscribe, store.shown, () => null)
  const hidden = useSyncExternalStore(store.subscribe, store.inDialog, () => false) !== inDialog
  return (
    <>
      <div role="status">
        {!hidden && news && news.kind !== 'refused' && <Toast news={news} store={store} />}
      </div>
      <div role="alert">{!hidden && news?.kind === 'refused' && <Toast news={news} store={store} />}</div>
    </>
  )
}

function Toast({ news, store }: { news: ToastNews; store: ToastStore }) {
  return (
    <div className={news.kind === 'refused' ? 'toast toast-hot' : 'toast'}>
      <span className="min-w-0 py-1">
        {news.kind === 'refused' ? (
          <span className="refusal-line">
            Refused. <RefusalText refusal={news.refusal} />
          </span>
        ) : (
          news.text
        )}
      </span>
      <span className="flex gap-1">
        {news.kind === 'undo' && (
          <Button
            onPress={() => {
              store.clear()
              news.onUndo()
            }}
          >
            Undo
          </Button>
        )}
        <Button look="quiet" aria-label="Close" onPress={store.clear}>
          <svg width="14" height="14" viewBox="0 0 14 14" aria-hidden="true">
            <path d="M1 1l12 12M13 1L1 13" stroke="currentColor" strokeWidth="2.5" />
          </svg>
        </Button>
      </span>
    </div>
  )
}

/** @throws outside `ToastRoot`. */
export function useToasts(): Toasts {
  const value = useContext(ToastContext)
  if (!value) throw new Error('useToasts needs ToastRoot above it')
  return value.toasts
}
