interface Kept {
  path: string
  response: Response
  asked: Headers
}

/**
 * Cache storage as far as the service worker uses it, by the rules of the W3C's Service Workers: keys without `#`, `Vary` honoured unless ignored,
 * a body read once, and `room` files at most.
 */
export class FakeCaches {
  readonly #stores = new Map<string, Kept[]>()
  room = Infinity

  keys = async (): Promise<string[]> => [...this.#stores.keys()]
  delete = async (name: string): Promise<boolean> => this.#stores.delete(name)
  paths = (name: string): string[] => (this.#stores.get(name) ?? []).map((k) => k.path).sort()

  open = async (name: string): Promise<Cache> => {
    const kept = this.#stores.get(name) ?? []
    this.#stores.set(name, kept)
    const match = async (path: string, { ignoreVary = false } = {}) =>
      kept.find((k) => k.path === path && (ignoreVary || this.#varies(k, new Headers())))?.response.clone()
    const put = async (path: string, response: Response) => {
      if (response.bodyUsed) throw new TypeError('The body was read already')
      const body = await response.arrayBuffer()
      if (this.#count() >= this.room) throw new DOMException('No room', 'QuotaExceededError')
      const whole = new Response(body, response)
      kept.push({ path: path.split('#')[0] ?? '', response: whole, asked: new Headers({ rsc: '1' }) })
    }
    return { match, put } as unknown as Cache
  }

  #count(): number {
    return [...this.#stores.values()].reduce((n, kept) => n + kept.length, 0)
  }

  #varies({ response, asked }: Kept, now: Headers): boolean {
    const names = (response.headers.get('vary') ?? '').split(',').map((n) => n.trim())
    return names.every((n) => n === '' || asked.get(n) === now.get(n))
  }
}
