import { expect, test } from "vitest";
import { ownerIn } from "../../src/server/otherAccounts.ts";

// source: proc_pid_net(5), layout of /proc/net/tcp: local address, remote address, state, queues, timer, retransmits, uid
const table = `  sl  local_address rem_address   st tx_queue rx_queue tr tm->when retrnsmt   uid  timeout inode
   0: 0100007F:1270 00000000:0000 0A 00000000:00000000 00:00000000 00000000  1000        0 20001 1 0000000000000000 100 0 0 10 0
   1: 0100007F:1270 0100007F:C001 01 00000000:00000000 00:00000000 00000000  1000        0 20002 1 0000000000000000 20 4 30 10 -1
   2: 0100007F:C001 0100007F:1270 01 00000000:00000000 02:000A1B2C 00000000  1001        0 20003 2 0000000000000000 20 4 30 10 -1
   3: 0000000000000000FFFF00000100007F:C002 0000000000000000FFFF00000100007F:1270 01 00000000:00000000 00:00000000 00000000  0 0 20004 1
`;

test.each([
  ["the account at the other end, not at ours", 0xc001, 1001],
  ["of a connection in the later form of addresses", 0xc002, 0],
  ["nobody, for a connection that is not in the table", 0xc003, undefined],
  ["nobody, for a port that only listens", 0x1270, undefined],
])("%s", (_, port, owner) => expect(ownerIn(table, port, 0x1270)).toBe(owner));
