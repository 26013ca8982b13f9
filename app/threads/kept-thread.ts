/** The part of a `Worker` that is used. */
export interface Thread<Order, Said> {
  postMessage(order: Order): void
  terminate(): void
  onmessage: ((event: MessageEvent<Said>) => void) | null
  onerror: ((event: ErrorEvent) => void) | null
}

interface Parts<Order, Said> {
  open: () => Thread<Order, Said>
  hear: (said: Said) => void
  /** It did not start, or an error ended it. The next order opens another. */
  fell: (gone: ErrorEvent) => void
}

/** The life of one background worker: opened by the first order, ended for good, and nothing is heard of one that was ended. */
export class KeptThread<Order, Said> {
  readonly #parts: Parts<Order, Said>
  #thread: Thread<Order, Said> | null = null

  constructor(parts: Parts<Order, Said>) {
    this.#parts = parts
  }

  get isOpen(): boolean {
    return this.#thread !== null
  }

  tell(order: Order): void {
    this.#thread ??= this.#opened()
    this.#thread.postMessage(order)
  }

  end(): void {
    this.#thread?.terminate()
    this.#thread = null
  }

  #opened(): Thread<Order, Said> {
    const { open, hear, fell } = this.#parts
    const thread = open()
    thread.onmessage = ({ data }) => {
      if (this.#thread === thread) hear(data)
    }
    thread.onerror = (event) => {
      if (this.#thread !== thread) return
      this.end()
      fell(event)
    }
    return thread
  }
}
