export function buildScreens(root: string, options?: { evenWhileServing?: boolean }): Promise<void>
export function buildAssets(root: string): Record<string, string>
export function hashOfSources(root: string): string
export function noteServing(root: string): void
