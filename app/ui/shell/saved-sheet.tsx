'use client'
import { onlyHere } from '@/app/photos/only-here'
import { usePhotosWaiting } from '@/app/photos/use-photos-waiting'
import { usePresence, useSyncPart, useSyncSnapshot, type Present } from '@/app/sync'
import { whyNotSaving } from '@/app/sync/sync-snapshot'
import { Drafts } from './drafts'
import { storeText } from './store-text'
import { UnsentList } from './unsent-list'

/** What the header's sum opens: what is waiting, how the device's own store does, and who else is here. Loaded once the page stands. */
export default function SavedSheet() {
  const online = useSyncPart((s) => s.online)
  const photos = usePhotosWaiting()
  const people = usePresence()
  return (
    <>
      <Connection />
      <UnsentList />
      {photos > 0 && <PhotosHere photos={photos} />}
      <Drafts />
      <Here people={people} online={online} />
    </>
  )
}

const PhotosHere = ({ photos }: { photos: number }) => (
  <p>
    <b>{onlyHere(0, photos)} only on this phone.</b> They are sent while the board is open here, on any page.
  </p>
)

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
