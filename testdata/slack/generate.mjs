// Writes types.schema.json anew from the official TypeScript types:
//
//   npm install @slack/types@3.2.0 @slack/web-api@8.2.0 ts-json-schema-generator@2.10.0
//   node generate.mjs
//
// in a folder with this file. Read the difference before it is kept.
import { createGenerator } from 'ts-json-schema-generator';
import { mkdtempSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

const source = join(mkdtempSync(join(process.cwd(), 'types-')), 'types.ts');
writeFileSync(source, `
import type { KnownBlock, ModalView, HomeView } from '@slack/types';
import type { Manifest as Official } from '../node_modules/@slack/web-api/dist/types/request/manifest';
export type Blocks = KnownBlock[];
export type Modal = ModalView;
export type Home = HomeView;
export type AppManifest = Official;
`);
const definitions = {};
for (const type of ['Blocks', 'Modal', 'Home', 'AppManifest']) {
  const schema = createGenerator({ path: source, type, skipTypeCheck: true, additionalProperties: false, jsDoc: 'none', sortProps: true, expose: 'all', topRef: true }).createSchema(type);
  for (const [name, definition] of Object.entries(schema.definitions)) {
    const known = definitions[name];
    if (known && JSON.stringify(known) !== JSON.stringify(definition)) throw new Error(`two types are named ${name}`);
    definitions[name] = definition;
  }
}
const sorted = Object.fromEntries(Object.entries(definitions).sort(([a], [b]) => (a < b ? -1 : 1)));
writeFileSync('types.schema.json', JSON.stringify({ $schema: 'http://json-schema.org/draft-07/schema#', definitions: sorted }, null, 1) + '\n');
