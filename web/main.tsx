import { render } from 'preact';
import { readAddress } from './app/address.ts';
import { Connection } from './app/connection.ts';
import { PointBuffer } from './app/point-buffer.ts';
import { PageStore } from './app/store.ts';
import { Root } from './root.tsx';

const address = readAddress();
const store = new PageStore(address.run);
const points = new PointBuffer();
const watches = location.pathname.replace(/\/$/, '').endsWith('/show');
const connection = new Connection(store, points, watches ? 'watch' : 'steer', address.token);

render(<Root app={{ store, points, connection }} show={watches} />, document.getElementById('root')!);
