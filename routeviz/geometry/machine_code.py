"""How functions become machine code without numba doing work twice; ``compiled.py`` says which do.

A function that other compiled ones call is run only as a part of them. As numba comes, it is optimised and
made machine code by itself all the same, and its arrays are counted in and out. Both are left out here, and
what an operation gives for kinds of numbers is looked up once. What is computed stays the same.
"""

from collections.abc import Callable
from typing import Any

from numba.core import ir
from numba.core.codegen import JITCodeLibrary
from numba.core.compiler import Compiler
from numba.core.compiler_machinery import AnalysisPass, register_pass
from numba.core.typed_passes import AnnotateTypes
from numba.core.types.functions import BaseFunction

MAKING = ("call", "binop", "inplace_binop", "unary", "build_list", "build_set", "build_map")


class Entered(JITCodeLibrary):  # type: ignore[misc]
    """Code of a function that Python calls, with all that it calls: optimised as one."""

    def _optimize_functions(self, module: Any) -> None:
        """Leave single functions as they are: all are optimised together at the end."""
        module.data_layout = self._codegen._data_layout


class Inlaid(Entered):
    """Code of a function that goes into its callers: neither optimised nor made machine code by itself."""

    @property
    def codegen(self) -> "Inlaid":
        """Itself, for want of a place in memory where the function's surroundings could be noted."""
        return self

    def set_env(self, name: str, surroundings: object) -> None:
        """Note nothing: as where compiled code comes from the cache."""

    def get_pointer_to_function(self, _name: str) -> int:
        """Return 0, which says that Python has no way in."""
        self._ensure_finalized()
        return 0

    def _optimize_final_module(self) -> None:
        """Leave this to the callers."""

    def _finalize_final_module(self) -> None:
        """Make no machine code."""
        self._finalized = True


@register_pass(mutates_CFG=False, analysis_only=True)
class WithoutCounting(AnalysisPass):  # type: ignore[misc]
    """Leave out the counting of references where a function makes no array and is given none by a call.

    What it was called with its caller holds.
    """

    _name = "without_counting"

    def __init__(self) -> None:
        AnalysisPass.__init__(self)

    def run_pass(self, state: Any) -> bool:
        """Look at the kinds of all that is made; nothing of the function is changed."""
        models = state.targetctx.data_model_manager
        kinds = [state.return_type]
        for block in state.func_ir.blocks.values():
            for assigned in block.find_insts(ir.Assign):
                if isinstance(assigned.value, ir.Expr) and assigned.value.op in MAKING:
                    kinds.append(state.typemap[assigned.target.name])
        if not any(models[kind].contains_nrt_meminfo() for kind in kinds):
            state.targetctx = state.targetctx.subtarget(enable_nrt=False)
        return False


class EnteredCompiler(Compiler):  # type: ignore[misc]
    """Compiles functions that Python calls."""

    library = Entered

    def define_pipelines(self) -> list[Any]:
        """Return numba's own steps, and one more."""
        code = self.library(self.state.targetctx.codegen(), self.state.func_id.func_qualname)
        code.enable_object_caching()
        self.state.library = code
        (steps,) = super().define_pipelines()
        steps.add_pass_after(WithoutCounting, AnnotateTypes)
        steps.finalize()
        return [steps]


class InlaidCompiler(EnteredCompiler):
    """Compiles functions that compiled ones call."""

    library = Inlaid


def _looked_up_once(look_up: Callable[..., object]) -> Callable[..., object]:
    """Return what tells the signature of an operation, asking for each kinds of arguments once."""
    known: dict[object, object] = {}

    def call_type(
        self: object, context: object, kinds: tuple[object, ...], named: dict[str, object]
    ) -> object:
        asked = self, context, tuple(kinds), tuple(sorted(named.items()))
        if asked not in known:
            known[asked] = look_up(self, context, kinds, named)
        return known[asked]

    return call_type


BaseFunction.get_call_type = _looked_up_once(BaseFunction.get_call_type)  # type: ignore[method-assign]
