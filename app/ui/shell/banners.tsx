'use client'
import { useSyncPart } from '@/app/sync'
import { whyNotSaving } from '@/app/sync/sync-snapshot'
import { LostBanner } from './lost-banner'
import { ClockOff } from './clock-off'
import { Outdated } from './outdated'
import { storeText } from './store-text'

/** What everybody on this phone must know before the next tap: a board that takes no edits, a phone that keeps no copy. */
export function Banners() {
  const isMember = useSyncPart((s) => s.membership.state === 'member')
  const notSaving = useSyncPart(whyNotSaving)
  const hasPending = useSyncPart((s) => s.pending > 0)
  const badStore = useSyncPart(({ store, online }) =>
    store.state === 'full' || store.state === 'failed' || (store.state === 'missing' && !online)
      ? storeText(store)
      : null,
  )
  if (!isMember) return <div />
  return (
    <div>
      <LostBanner />
      <Outdated />
      {notSaving !== null && (
        <div className="banner banner-hot" role="alert">
          <span>
            <b>The server can’t save right now:</b> {notSaving}. Your changes wait on this phone. Tell whoever
            runs the board.
          </span>
        </div>
      )}
      <ClockOff />
      {badStore !== null && (
        <div className={hasPending ? 'banner banner-hot' : 'banner'} role="alert">
          {badStore}
        </div>
      )}
    </div>
  )
}
