import type { Client } from '../../core/contract/client.ts';
import { connect } from './connect.ts';

/** The host of this page. */
export const client: Client = connect();
