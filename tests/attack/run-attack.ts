import type { Attack, Outcome } from './attack'
import { Ground } from './ground'

/** Run one attack on ground of its own. One that could not be carried out has not shown that anything holds. */
export async function runAttack(attack: Attack): Promise<Outcome> {
  const ground = new Ground()
  try {
    return await attack.run(ground)
  } catch (e) {
    return { held: false, detail: `could not be carried out: ${e instanceof Error ? e.message : String(e)}` }
  } finally {
    await ground.dispose()
  }
}
