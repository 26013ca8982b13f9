export const ROLES = ['manager', 'mechanic', 'driver', 'guest'] as const
export type Role = (typeof ROLES)[number]
export const isRole = (s: unknown): s is Role => ROLES.includes(s as Role)
