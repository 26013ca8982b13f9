import type { Screens } from './http/request-listener'
import type { UpgradeHandler } from './http/upgrade-listener'
import type { RunningScreens } from './screens'

/** Screens that need the open port to start, for listeners that must stand before the port opens: what asks too early waits for them. */
export class LateScreens {
  readonly #arrived: Promise<RunningScreens>
  #arrive: (screens: RunningScreens) => void = () => undefined

  constructor() {
    this.#arrived = new Promise((resolve) => (this.#arrive = resolve))
  }
  arrive(screens: RunningScreens): void {
    this.#arrive(screens)
  }

  readonly handle: Screens = async (req, res) => (await this.#arrived).handle(req, res)
  readonly upgrade: UpgradeHandler = (req, socket, head) =>
    void this.#arrived.then((s) => s.upgrade(req, socket, head))
}
