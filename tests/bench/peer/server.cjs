// The peer's server: express-pouchdb on express 4 (with express 5 its change feed fails), one page for Chromium.
// node server.cjs PORT [memory|leveldb DIR]; prints "ready" when it listens.
const path = require('node:path');
const express = require('express');
const PouchDB = require('pouchdb');
PouchDB.plugin(require('pouchdb-adapter-memory'));

const [port, adapter = 'memory', prefix = ''] = process.argv.slice(2);
const Store = PouchDB.defaults(adapter === 'memory' ? { adapter: 'memory' } : { prefix });
const app = express();
app.get('/bench.html', (_request, answer) =>
  answer.type('html').send('<!doctype html><title>peer</title><script src="/lib/pouchdb.min.js"></script><script src="/lib/pouchdb.indexeddb.min.js"></script>'),
);
app.use('/lib', express.static(path.join(__dirname, 'node_modules/pouchdb/dist')));
app.use(
  '/db',
  require('express-pouchdb')(Store, {
    mode: 'minimumForPouchDB',
    overrideMode: { include: ['routes/bulk-get'] },
    inMemoryConfig: true,
    logPath: path.join(require('node:os').tmpdir(), `peer-${process.pid}.log`),
  }),
);
app.listen(Number(port), '127.0.0.1', () => console.log('ready'));
