export function bundleServer(root: string): Promise<string>
