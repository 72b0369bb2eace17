"""Plates pulled and bent in their plane: plane stress, triangles of second order."""

import math

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import spsolve
from skfem import Basis, BilinearForm, ElementTriP2, ElementVector, FacetBasis, LinearForm, asm, condense, solve
from skfem.helpers import ddot, eye, sym_grad, trace

from elements_mesh import mesh, ring

POISSON = 0.3
YOUNG = 210e3
REACH = 0.35  # of a hole's diameter: so near to a held or loaded edge nothing is judged
BALANCE = 30.0  # N that forces in balance may miss it by


class Pulled:
    """A plate under forces in its plane.

    `pins`: (index of a hole, force), a cosine over the half that is pushed; `hands`: (place, reach, force) on the outside;
    `edges`: (where a function of x and y holds, traction there, what of it is counted, how much that is in all); `stiff`: (edges
    that move as one, a place, the force on them through it); `held`: indices of holes that are held, or edges where a function of
    x and y holds; without it the forces are in balance."""

    def __init__(self, outside, holes, thickness, pins=(), hands=(), edges=(), stiff=None, held=None, area=14.0):
        self.mesh = m = mesh(outside, holes, area=area)
        lam = YOUNG * POISSON / (1 - POISSON**2)
        mu = YOUNG / (2 * (1 + POISSON))
        stress = lambda e: lam * trace(e) * eye(1 + 0 * trace(e), 2) + 2 * mu * e

        @BilinearForm
        def stiffness(u, v, w):
            return thickness * ddot(stress(sym_grad(u)), sym_grad(v))

        element = ElementVector(ElementTriP2())
        self.basis = basis = Basis(m, element)
        self.near, self.pinned = [], []
        right = np.zeros(basis.N)
        for index, force in pins:
            right += self.pin(holes[index], np.asarray(force))
        for place, reach, force in hands:
            near = lambda x: np.hypot(x[0] - place[0], x[1] - place[1]) < reach
            pushed = self.facets(near)
            right += asm(LinearForm(lambda v, w: (force[0] * v[0] + force[1] * v[1]) / pushed.dx.sum()), pushed)
            self.near.append((np.asarray(place), reach * 1.2))
        for where, traction, counted, amount in edges:
            pushed = self.facets(where)
            at = pushed.global_coordinates().value
            scale = amount / np.sum(np.sum(traction(at) * counted(at), axis=0) * pushed.dx)
            right += asm(LinearForm(lambda v, w: scale * sum(it * v[axis] for axis, it in enumerate(traction(w.x)))), pushed)
        full = asm(stiffness, basis)
        fixed = self.three() if held is None else self.holds(holes, held)
        if stiff is None:
            u = solve(*condense(full, right, D=fixed))
        else:
            u = self.as_one(full, right, fixed, *stiff)
        if held is None:
            rest = np.abs(full @ u - right)[fixed].max()
            assert rest < BALANCE, f"the forces are not in balance: {rest:.1f} N"
        where = Basis(m, element, intorder=2)
        s = stress(sym_grad(where.interpolate(u)))
        self.mises = np.sqrt(s[0, 0] ** 2 + s[1, 1] ** 2 - s[0, 0] * s[1, 1] + 3 * s[0, 1] ** 2)
        self.places = where.global_coordinates().value

    def facets(self, where):
        return FacetBasis(self.mesh, self.basis.elem, facets=self.mesh.facets_satisfying(where, boundaries_only=True))

    def as_one(self, full, right, fixed, where, place, force):
        """Moves where edges that are stiff move and turn as one, by three unknowns in the place of all of theirs."""
        own = self.basis.get_dofs(self.mesh.facets_satisfying(where, boundaries_only=True))
        of = [own.all(["u^1"]), own.all(["u^2"])]
        free = np.setdiff1d(np.arange(self.basis.N), np.concatenate([fixed, *of]))
        n, x, y = len(free), *(self.basis.doflocs[axis] for axis in (0, 1))
        # Each free value is one unknown; those of the edges are a shift and a turn about the place.
        rows = np.concatenate([free, of[0], of[1], of[0], of[1]])
        columns = np.concatenate([np.arange(n), *(np.full(len(it), n + k) for k, it in enumerate([*of, of[0]])), np.full(len(of[1]), n + 2)])
        values = np.concatenate([np.ones(n + len(of[0]) + len(of[1])), place[1] - y[of[0]], x[of[1]] - place[0]])
        to = coo_matrix((values, (rows, columns)), shape=(self.basis.N, n + 3)).tocsc()
        pushed = to.T @ right
        pushed[n:n + 2] += force
        return to @ spsolve((to.T @ full @ to).tocsc(), pushed)

    def pin(self, hole, force):
        centre, radius = ring(hole)
        size = math.hypot(*force)
        way = force / size

        @LinearForm
        def pull(v, w):
            normal = [(w.x[0] - centre[0]) / radius, (w.x[1] - centre[1]) / radius]
            push = np.maximum(normal[0] * way[0] + normal[1] * way[1], 0.0)
            # cos over half the hole sums to pi r / 2 along the force.
            p = size / (math.pi * radius / 2)
            return p * push * (normal[0] * v[0] + normal[1] * v[1])

        self.pinned.append((centre, radius * (1 + 2 * REACH)))
        edges = self.mesh.facets_satisfying(on(hole), boundaries_only=True)
        return asm(pull, FacetBasis(self.mesh, self.basis.elem, facets=edges))

    def holds(self, holes, held):
        if not callable(held):
            self.near += [(ring(holes[it])[0], ring(holes[it])[1] * (1 + 2 * REACH)) for it in held]
        edges = [held] if callable(held) else [on(holes[it]) for it in held]
        edges = [self.mesh.facets_satisfying(it, boundaries_only=True) for it in edges]
        return self.basis.get_dofs(np.concatenate(edges)).all()

    def three(self):
        """Three fixed values, that only keep a plate under forces in balance where it is."""
        m = self.mesh
        far = np.argmax(np.hypot(*(m.p - m.p[:, [0]])))
        d = m.p[:, far] - m.p[:, 0]
        across = 1 if abs(d[0]) > abs(d[1]) else 0
        return np.array([*self.basis.nodal_dofs[:, 0], self.basis.nodal_dofs[across, far]])

    def peak(self, judged=None, eyes=False):
        """Greatest von Mises stress, MPa, away from held and loaded edges, where `judged` of x and y holds; with `eyes` up to
        the edges of holes with pins."""
        x = self.places
        away = np.ones_like(self.mises, dtype=bool) if judged is None else judged(x)
        for centre, reach in self.near + ([] if eyes else self.pinned):
            away &= np.hypot(x[0] - centre[0], x[1] - centre[1]) > reach
        return self.mises[away].max()


def on(hole):
    centre, radius = ring(hole)
    return lambda x: np.abs(np.hypot(x[0] - centre[0], x[1] - centre[1]) - radius) < 0.05


def round_hole(hole):
    """Around a hole, up to its diameter from its middle."""
    centre, radius = ring(hole)
    return lambda x: np.hypot(x[0] - centre[0], x[1] - centre[1]) < 2 * radius
