export * from './board-graph'
export * from './derived'
export * from './frozen-board'
export * from './worked-out'
