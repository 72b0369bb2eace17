"""Plates pulled and bent in their plane: plane stress, triangles of second order."""

import math

import numpy as np
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
    `held`: indices of holes that are held, or edges where a function of x and y holds; without it the forces are in
    balance."""

    def __init__(self, outside, holes, thickness, pins=(), hands=(), held=None, area=14.0):
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
            edges = FacetBasis(m, element, facets=m.facets_satisfying(near, boundaries_only=True))
            right += asm(LinearForm(lambda v, w: (force[0] * v[0] + force[1] * v[1]) / edges.dx.sum()), edges)
            self.near.append((np.asarray(place), reach * 1.2))
        full = asm(stiffness, basis)
        fixed = self.three() if held is None else self.holds(holes, held)
        u = solve(*condense(full, right, D=fixed))
        if held is None:
            rest = np.abs(full @ u - right)[fixed].max()
            assert rest < BALANCE, f"the forces are not in balance: {rest:.1f} N"
        where = Basis(m, element, intorder=2)
        s = stress(sym_grad(where.interpolate(u)))
        self.mises = np.sqrt(s[0, 0] ** 2 + s[1, 1] ** 2 - s[0, 0] * s[1, 1] + 3 * s[0, 1] ** 2)
        self.places = where.global_coordinates().value

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
