"""Mechanics of one joint: pure, vectorised functions with units and sources.

Torque and tension
    torque_tension    torque and clamp load by the long form; loosening
    nut_factor        the same in one number
    power_screw       the same without the small-angle step, and as printed with rounded figures
    bearing           effective diameter of the face under the head
    evaluation        friction and nut factor from measured torque and clamp load
    friction_fit      the same from a whole test, with uncertainty, and whether its line is straight
    friction_range    a range of friction coefficients as a distribution
    loosening         what the torque to loosen tells, and how little

Strength and losses
    stress            stress in tightening, onset of yield, after release
    assembly          preload and torque at a share of the yield stress (the assembly tables)
    stripping         shear areas, strength factors, which part gives way first
    thread_limits     limits of size at which a metric thread is weakest
    engagement        length of thread so that the bolt breaks first
    pressure          pressure under the head, and what the part below bears
    embedding         what a joint loses when rough faces flatten
    relaxation        what it loses with time

Stiffness
    stiffness         resilience of the bolt, clamp rate, torque rate, shank twist
    cone              resilience of the clamped parts by the deformation cone
    frusta            the same by 30° frusta, layer by layer
    gasket            gaskets pressed and let go
    rival_stiffness   the exponential fit, bolt stiffness, gaskets
    stiffness_spread  the models side by side
    service_load      what a working load does to a tightened joint

Torque and angle
    model             a fastener in its joint, as other rooms hand it around
    curve             the clamp-angle line: bilinear, elastic then yielded
    torque_angle      clamp load along steps of torque, angle and loosening, past yield too
    way               torque over angle along the steps, with friction's band, to be drawn
    stress_strain     laws of hardening: bilinear, Ramberg-Osgood, Hollomon
    hardening         the clamp-angle line for any of them; where the gradient method stops
    turn_of_nut       rotations of structural bolts and anchor rods
    pretension        the clamp loads that they are to reach
    stretch           clamp load from measured stretch
    reuse             lasting stretch spent and left

Fasteners that influence each other
    order             the order in which fasteners are taken
    foundation        beam, ring and plate on an elastic foundation (with kelvin)
    finite_beam       a beam with free ends on it
    free_plate        a rectangular cover with free edges on it
    flexibility       the flexibility of the parts between the fasteners of a joint
    interaction       the interaction matrix, from geometry or from measured pulls
    passes            who holds what after which pull
    slack             the same where fasteners may be loose
    uniform           what to set so that the last pull leaves all equal
    order_study       orders side by side

Uncertainty
    band              clamp load after each step as a distribution
    uncertainty       linear propagation of the torque relations, where one number is enough
    uncertain         uncertain inputs as the guides name them
    propagation       the law of propagation for any model
    monte_carlo       the same by sampling
    line_fit          a straight line through points, and whether they bend
    scatter           common and individual scatter, the least of a set
    tightening_factor the factor α_A, published scatter of methods

Odd ones out
    outliers          Grubbs, modified z, Tukey
    outlier_limits    their limits for small sets
    unusual           the recommended rule for one joint
"""
