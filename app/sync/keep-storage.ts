/** What the browser says about keeping this device's copy of the board when room gets short. */
export type Keeping = 'kept' | 'may-be-cleared' | 'not-said'

/**
 * [S19] Ask the browser not to clear this device's copy by itself (WHATWG Storage, `persist`). Asked when somebody has joined: some browsers ask the
 * person then, others decide by how the board is used.
 */
export async function askToKeep(): Promise<Keeping> {
  try {
    return (await navigator.storage.persist()) ? 'kept' : 'may-be-cleared'
  } catch {
    return 'not-said'
  }
}

/** What it said, without asking anew. */
export async function keeping(): Promise<Keeping> {
  try {
    return (await navigator.storage.persisted()) ? 'kept' : 'may-be-cleared'
  } catch {
    return 'not-said'
  }
}
