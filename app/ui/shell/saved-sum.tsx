'use client'
import { useState } from 'react'
import { deviceCount } from '@/app/sync/presence'
import { usePresence, useSyncPart, useSyncSnapshot, type Present } from '@/app/sync'
import { whyNotSaving, type SyncSnapshot } from '@/app/sync/sync-snapshot'
import { Dialog } from '@/app/ui/dialog'
import { MarkShape } from '@/app/ui/mark-shape'
import { Drafts } from './drafts'
import { UnsentList } from './unsent-list'

/** The sum of all marks in a few words. */
export function savedSumText({
  pending,
  online,
  fetching,
}: Pick<SyncSnapshot, 'pending' | 'online' | 'fetching'>): string {
  if (pending > 0) return `${pending} ${pending === 1 ? 'change' : 'changes'} only on this phone`
  if (fetching) return 'loading the board'
  return online ? 'all saved on the server' : 'offline, nothing waiting'
}

/** The header's sum; pressed, it says what is waiting, how the device's own store does, and who else is here. */
export function SavedSum() {
  const pending = useSyncPart((s) => s.pending)
  const online = useSyncPart((s) => s.online)
  const notTaken = useSyncPart((s) => s.drafts.length)
  const text = useSyncPart(savedSumText)
  const people = usePresence()
  const [open, setOpen] = useState(false)
  const phones = deviceCount(people)
  return (
    <>
      <button
        type="button"
        className="top-saved"
        data-loose={pending > 0 || !online ? '' : undefined}
        aria-haspopup="dialog"
        onClick={() => setOpen(true)}
      >
        <MarkIcon phone={pending > 0} />
        <span>
          {text}
          {notTaken > 0 && <b className="text-hot">, {notTaken} refused</b>}
          {online && phones > 0 && (
            <span className="small">
              {' '}
              · {phones} {phones === 1 ? 'phone' : 'phones'}
              <span className="only-roomy"> in the pit</span>
            </span>
          )}
        </span>
      </button>
      <span role="status" className="visually-hidden">
        {text}
      </span>
      <Dialog title="Saved and not saved yet" isOpen={open} onOpenChange={setOpen}>
        <Connection />
        <UnsentList />
        <Drafts />
        <Here people={people} online={online} />
      </Dialog>
    </>
  )
}

function MarkIcon({ phone }: { phone: boolean }) {
  return (
    <span aria-hidden="true" className="[&_.saved-mark>span]:hidden">
      <MarkShape mark={phone ? 'phone' : 'saved'} />
    </span>
  )
}

function Connection() {
  const snapshot = useSyncSnapshot()
  const { online, store } = snapshot
  return (
    <div className="grid gap-1">
      <p>
        {online && whyNotSaving(snapshot) !== null ? (
          <>
            <b>Connected, but the server can’t save right now.</b> Keep working: changes wait on this phone
            and are sent when it can.
          </>
        ) : online ? (
          <>
            <b>Connected.</b> A change is on the server’s disk once its mark says saved.
          </>
        ) : (
          <>
            <b>No connection.</b> Keep working: changes wait on this phone and are sent later.
          </>
        )}
      </p>
      <p className="small">{storeText(store)}</p>
    </div>
  )
}

export function storeText(store: SyncSnapshot['store']): string {
  switch (store.state) {
    case 'opening':
      return 'Opening this phone’s storage.'
    case 'stored':
      return 'This phone has a copy of everything, even when the page closes.'
    case 'storing':
      return 'This phone is saving its copy.'
    case 'full':
      return 'This phone’s storage is full. Keep this page open until everything is on the server, then free up some space.'
    case 'failed':
      return `This phone can’t save its copy (${store.reason}). Keep this page open until everything is on the server.`
    case 'missing':
      return `This browser saves no copy (${store.reason}). Keep this page open until everything is on the server. A private window never saves one.`
  }
}

function Here({ people, online }: { people: readonly Present[]; online: boolean }) {
  const byDevice = [...new Map(people.map((p) => [p.deviceId, p])).values()]
  return (
    <div>
      <h3>In the pit now</h3>
      {byDevice.length === 0 ? (
        <p className="small">{online ? 'Nobody else yet.' : 'Not known without a connection.'}</p>
      ) : (
        <ul className="ruled">
          {byDevice.map((p) => (
            <li key={p.deviceId} className="py-2 flex justify-between gap-4">
              <span>{p.name}</span>
              <span className="small">{p.role}</span>
            </li>
          ))}
        </ul>
      )}
    </div>
  )
}
