'use client'
import { useSyncSnapshot } from '../../sync'
import { whyNotSaving } from '../../sync/sync-snapshot'
import { storeText } from './saved-sum'

/** What everybody on this phone must know before the next tap: a board that takes no edits, a phone that keeps no copy. */
export function Banners() {
  const snapshot = useSyncSnapshot()
  const { membership, store, pending, online } = snapshot
  if (membership.state !== 'member') return <div />
  const notSaving = whyNotSaving(snapshot)
  const storeIsBad =
    store.state === 'full' || store.state === 'failed' || (store.state === 'missing' && !online)
  return (
    <div>
      {notSaving !== null && (
        <div className="banner banner-hot" role="alert">
          <span>
            <b>The server can’t save right now:</b> {notSaving}. What you change waits on this phone; who runs
            the board must help.
          </span>
        </div>
      )}
      {storeIsBad && (
        <div className={pending > 0 ? 'banner banner-hot' : 'banner'} role="alert">
          {storeText(store)}
        </div>
      )}
    </div>
  )
}
