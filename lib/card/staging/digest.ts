export { digestOf } from '../../core/digest'
