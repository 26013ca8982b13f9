'use client'
import { useSyncSnapshot } from '../../sync'
import { storeText } from './saved-sum'

/** What everybody on this phone must know before the next tap: a board that takes no edits, a phone that keeps no copy. */
export function Banners() {
  const { membership, kit, meeting, store, pending, online } = useSyncSnapshot()
  if (membership.state !== 'member') return <div />
  const readOnly = [meeting, kit].find((r) => r?.roomState.state === 'read-only')?.roomState
  const storeIsBad =
    store.state === 'full' || store.state === 'failed' || (store.state === 'missing' && !online)
  return (
    <div>
      {readOnly?.state === 'read-only' && (
        <div className="banner banner-hot" role="alert">
          <span>
            <b>The server can’t write right now:</b> {readOnly.reason}. What you change waits on this phone;
            who runs the board must help.
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
