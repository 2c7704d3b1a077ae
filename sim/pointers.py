"""Arrays handed to inner loops as bare pointers.

Numba counts references to arrays, atomically, each time a tuple of them goes into a function. In a
walk that costs more than the walking, and two threads wait for each other at the same counters. A
pointer has no counter. Whoever makes one must hold the array for as long as the pointer is used.
"""

from __future__ import annotations

from typing import Any

from numba import types
from numba.extending import intrinsic


@intrinsic
def pointer(typing_context: Any, array: Any) -> Any:
    """Pointer to the first item of a C-contiguous array; index it as if the array were flat."""
    result = types.CPointer(array.dtype)

    def generate(context: Any, builder: Any, signature: Any, args: Any) -> Any:
        return context.make_array(signature.args[0])(context, builder, args[0]).data

    return result(array), generate
