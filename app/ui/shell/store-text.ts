import type { SyncSnapshot } from '@/app/sync/sync-snapshot'

/** How the device's own store does, in words. */
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
