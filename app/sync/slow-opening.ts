import type { RoomProvider } from './room-provider'

/** ms. A socket that takes longer than this to open is given up for a new one: the browser itself would wait for minutes. */
const OPEN_PATIENCE = 8000

/** To be called when a provider begins to connect. `later` runs once after so many ms, unless the provider is not needed by then. */
export function giveUpSlowOpening(
  provider: RoomProvider,
  later: (ms: number, run: () => void) => void,
  openAnew: () => void,
): void {
  const { ws } = provider
  later(OPEN_PATIENCE, () => {
    if (ws !== null && provider.ws === ws && !provider.wsconnected) openAnew()
  })
}
