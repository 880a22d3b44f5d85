# mypy: ignore-errors
"""Reading and writing of arrays that lie apart, said so to the compiler.

numba cannot say that arrays of a kernel lie apart, and LLVM does not put a loop into vector lanes where a
read at any index might see what the same loop has written. Three pairs of plain reads and writes carry this
promise (LLVM's scoped no-alias metadata): nothing that one pair writes is read by the same pair. A loop uses
one pair alone; a loop that reads what an earlier one wrote takes another pair. Indices are never
negative: no wraparound is worked out.

Take `array = named.array` before the loop, or read in a function of its own: the count of an array's users
would be kept in the loop, and that breaks the lanes too.
"""

from __future__ import annotations

from llvmlite import ir
from numba import types
from numba.core.errors import TypingError
from numba.extending import intrinsic


def _place(context, builder, kind, array, index_kind, index):
    data = context.make_array(kind)(context, builder, array).data
    if index_kind.bitwidth < 64:
        longer = builder.sext if index_kind.signed else builder.zext
        index = longer(index, ir.IntType(64))
    return builder.gep(data, [index], inbounds=True)


def _flat(array):
    if array.ndim != 1 or array.layout != "C":
        raise TypingError("peek and poke take flat arrays without gaps")


def _pair(name):
    def scope(builder):
        module = builder.module
        domain = module.add_metadata([ir.MetaDataString(module, "bagwright")])
        return module.add_metadata([module.add_metadata([ir.MetaDataString(module, name), domain])])

    @intrinsic
    def peek(_, array, index):
        _flat(array)

        def made(context, builder, signature, args):
            kind, index_kind = signature.args
            found = builder.load(_place(context, builder, kind, args[0], index_kind, args[1]))
            found.set_metadata("alias.scope", scope(builder))
            return found

        return array.dtype(array, index), made

    @intrinsic
    def poke(_, array, index, value):
        _flat(array)

        def made(context, builder, signature, args):
            kind, index_kind, _ = signature.args
            place = _place(context, builder, kind, args[0], index_kind, args[1])
            builder.store(args[2], place).set_metadata("noalias", scope(builder))
            return context.get_dummy_value()

        return types.void(array, index, array.dtype), made

    return peek, poke


peek, poke = _pair("first")
peek_next, poke_next = _pair("next")
peek_last, poke_last = _pair("last")
