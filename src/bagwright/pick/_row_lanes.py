# mypy: ignore-errors
"""One row of a sparse matrix times sixteen vectors side by side, said to the compiler lane by lane.

Written as a loop over lanes, the sixteen sums go to memory and back for every few entries, and each spot's
numbers are looked up with the checks of a slice. Here the sums stay in registers. The same arithmetic in any
processor's lanes: LLVM splits the vectors as wide as they come.
"""

from __future__ import annotations

from llvmlite import ir
from numba import types
from numba.extending import intrinsic

LANES = 16
FLAGS = ("contract", "reassoc", "nsz")
UNROLLED = 4
_I64, _F32 = ir.IntType(64), ir.FloatType()
_VECTOR = ir.VectorType(_F32, LANES)


@intrinsic
def add_row(_, first, last, to, chance, d, q, row):
    """q[row] += sum of chance[z] * d[to[z]] for z in first .. last; d and q lie flat, LANES numbers a row.

    `to` int32 and not negative, `first`, `last`, `row` int64, the others float32; q[row] must not be read.
    """

    def made(context, builder, signature, args):
        data = [
            context.make_array(kind)(context, builder, value).data
            for kind, value in zip(signature.args[2:6], args[2:6], strict=True)
        ]
        place = _row(builder, data[3], args[6])
        start = builder.load(place, align=4)
        empty = ir.Constant(_VECTOR, [0.0] * LANES)
        sums = [start] + [empty] * (UNROLLED - 1)
        z, sums = _loop(builder, data[:3], args[0], args[1], sums)
        total = _sum(builder, sums)
        _, (total,) = _loop(builder, data[:3], z, args[1], [total])
        builder.store(total, place, align=4)
        return context.get_dummy_value()

    kinds = (types.int64, types.int64, to, chance, d, q, types.int64)
    return types.void(*kinds), made


def _row(builder, data, row):
    """The place of a row of LANES numbers."""
    place = builder.gep(data, [builder.mul(row, ir.Constant(_I64, LANES))], inbounds=True)
    return builder.bitcast(place, ir.PointerType(_VECTOR))


def _loop(builder, data, first, last, sums):
    """As many entries at a time as there are sums, while there are so many: where it ends, and the sums."""
    before = builder.block
    head = builder.append_basic_block("head")
    body = builder.append_basic_block("body")
    after = builder.append_basic_block("after")
    builder.branch(head)
    builder.position_at_end(head)
    z = builder.phi(_I64)
    z.add_incoming(first, before)
    now = [builder.phi(_VECTOR) for _ in sums]
    for one, start in zip(now, sums, strict=True):
        one.add_incoming(start, before)
    following = builder.add(z, ir.Constant(_I64, len(sums)))
    builder.cbranch(builder.icmp_signed("<=", following, last), body, after)
    builder.position_at_end(body)
    for k, one in enumerate(now):
        one.add_incoming(_added(builder, data, builder.add(z, ir.Constant(_I64, k)), one), body)
    z.add_incoming(following, body)
    builder.branch(head)
    builder.position_at_end(after)
    return z, now


def _added(builder, data, z, total):
    """The sum with one entry more."""
    to, chance, d = data
    row = builder.zext(builder.load(builder.gep(to, [z], inbounds=True)), _I64)
    numbers = builder.load(_row(builder, d, row), align=4)
    one = builder.insert_element(
        ir.Constant(_VECTOR, ir.Undefined), builder.load(builder.gep(chance, [z], inbounds=True)),
        ir.Constant(ir.IntType(32), 0),
    )  # fmt: skip
    lanes = ir.Constant(ir.VectorType(ir.IntType(32), LANES), [0] * LANES)
    share = builder.shuffle_vector(one, ir.Constant(_VECTOR, ir.Undefined), lanes)
    return builder.fadd(total, builder.fmul(share, numbers, flags=FLAGS), flags=FLAGS)


def _sum(builder, sums):
    total = sums[0]
    for one in sums[1:]:
        total = builder.fadd(total, one, flags=FLAGS)
    return total
