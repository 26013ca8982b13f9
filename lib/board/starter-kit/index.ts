export * from './checklists'
export * from './follow-up-rules'
export * from './rule-sheets'
export * from './write-starter-kit'
