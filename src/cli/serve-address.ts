import { hostname } from 'node:os';
import { UsageError } from './arguments.ts';

export const portDefault = 4460;
export const loopbackHosts = ['127.0.0.1', 'localhost', '::1'];

/** Where a server listens and under which names it answers. */
export interface ServeAddress {
  port: number;
  host: string;
  /** The address that people use, without a slash at the end; null = its own. */
  publicUrl: string | null;
  /** Addresses of proxies beside this machine's own. */
  proxies: string[];
}

/** An option `--public-url`, without a slash at the end. Throws UsageError when it is none. */
export function publicUrlOf(text: string | undefined): string | null {
  if (text === undefined) return null;
  const url = URL.parse(text);
  const isPlain =
    url !== null &&
    (url.protocol === 'https:' || url.protocol === 'http:') &&
    url.pathname === '/' &&
    url.search === '' &&
    url.hash === '' &&
    url.username === '';
  if (isPlain) return url.origin;
  throw new UsageError(
    `--public-url takes an address without a path, such as https://work.example.org, not "${text}".`,
  );
}

/** True when others than this machine can reach it. */
export function isReachable({ host, publicUrl }: ServeAddress): boolean {
  return !loopbackHosts.includes(host) || publicUrl !== null;
}

export function accountNeeded({ host, publicUrl }: ServeAddress): UsageError {
  const asked = publicUrl === null ? `--host ${host}` : `--public-url ${publicUrl}`;
  return new UsageError(
    `${asked} lets other machines in, and nobody has an account yet. Make one first: user add NAME --db FILE. Without accounts the server answers only on ${loopbackHosts.join(', ')}.`,
  );
}

/** What the web app has to know of its address. */
export function appOptionsOf(address: ServeAddress) {
  const isListening = !loopbackHosts.includes(address.host);
  const name = hostname();
  return {
    publicUrl: address.publicUrl,
    hostNames: isListening ? [name, `${name}.local`, address.host] : [],
    // A proxy on this machine is believed where one is said to be there.
    proxies: address.publicUrl === null ? [] : ['127.0.0.1', '::1', ...address.proxies],
  };
}
