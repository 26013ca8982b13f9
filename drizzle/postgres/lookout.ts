import pg from 'pg'

/** Who judges a room, as the database has it. */
export interface Holder {
  owner: string
  epoch: number
  address: string
  /** Its lease has not run out, by the database's clock. */
  isThere: boolean
  /** It has a connection to the database. A paused process has one too; one that was killed has none from then on. */
  isConnected: boolean
}

/** Each process that writes holds a lock of its own under this number while it is connected (line-worker.mjs). */
const CONNECTED = 7483649
const ANSWER_MS = 1_000
const HOLDER = `SELECT owners.owner, owners.epoch, owners.address,
    owners.lease_until >= (extract(epoch from clock_timestamp()) * 1000)::bigint AS "isThere",
    EXISTS (SELECT FROM pg_locks WHERE locktype = 'advisory' AND classid = ${CONNECTED}
      AND objid = (hashtext(owners.owner)::bigint & 4294967295)::oid
      AND database = (SELECT oid FROM pg_database WHERE datname = current_database())) AS "isConnected"
  FROM owners JOIN rooms ON rooms.id = owners.room_id WHERE rooms.name = $1`

/**
 * Looks again and again who judges a room, by a connection of its own that nobody waits for. `tell` gets null while nobody ever has, and
 * `away` while the database does not answer.
 */
export class Lookout {
  #client: pg.Client | null = null
  #timer: NodeJS.Timeout | null = null
  #isClosed = false

  constructor(
    readonly url: string,
    readonly room: string,
    readonly everyMs: number,
    readonly tell: (is: Holder | null | 'away') => void,
  ) {
    void this.#look()
  }

  close(): void {
    this.#isClosed = true
    if (this.#timer) clearTimeout(this.#timer)
    this.#hangUp()
  }

  async #look(): Promise<void> {
    let is: Holder | null | 'away'
    try {
      const client = (this.#client ??= await this.#connect())
      const { rows } = await client.query<Holder & { epoch: string | number }>(HOLDER, [this.room])
      is = rows[0] ? { ...rows[0], epoch: Number(rows[0].epoch) } : null
    } catch {
      this.#hangUp()
      is = 'away'
    }
    if (this.#isClosed) return
    this.#timer = setTimeout(() => void this.#look(), this.everyMs)
    this.#timer.unref()
    this.tell(is)
  }

  async #connect(): Promise<pg.Client> {
    const client = new pg.Client({
      connectionString: this.url,
      application_name: 'stagecall lookout',
      connectionTimeoutMillis: ANSWER_MS,
      query_timeout: ANSWER_MS,
      keepAlive: true,
    })
    client.on('error', () => this.#hangUp())
    await client.connect()
    if (!this.#isClosed) return client
    void client.end()
    throw new Error('closed')
  }

  #hangUp(): void {
    const client = this.#client
    this.#client = null
    void client?.end().catch(() => undefined)
  }
}
