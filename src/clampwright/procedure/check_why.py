"""Why each finding matters, in a sentence or two for whoever wants to learn."""

from __future__ import annotations

from types import MappingProxyType

from clampwright.words import Words, words

WHY: MappingProxyType[str, Words] = MappingProxyType(
    {
        # torque and angle against the fastener
        "over_yield": words(
            "Past yield a fastener stretches for good: it clamps no more for more turning, must "
            "be renewed, and may break. Most of the torque is friction, so the same "
            "torque clamps far more on oiled threads than on dry ones."
        ),
        "yield_if_slippery": words(
            "Published torques usually leave a tenth of the yield strength in hand at typical "
            "friction. Oil or paste where the maker meant dry uses that tenth up."
        ),
        "under_proof_share": words(
            "A joint lives from its clamp load: too little and the parts slide, the fastener "
            "works loose or tires and breaks. A final figure that uses under a tenth of the "
            "fastener is more often a wrong unit or a missing stage than a gentle joint."
        ),
        "under_running_torque": words(
            "A self-locking nut needs its running torque only to turn. What is left above it "
            "makes the clamp load."
        ),
        "turned_on_after_yield": words(
            "Past yield more turning brings little more torque and much more stretch: an audit "
            "that turns the fastener on uses up what it has left, and proves nothing."
        ),
        "thread_strips": words(
            "A stripped thread lets go inside the part, where nobody sees it, and the torque on "
            "the wrench may look right until it happens. Soft parts and short engagement strip "
            "first."
        ),
        "thread_weaker_than_bolt": words(
            "A joint is designed so that an overdone bolt breaks, which everybody sees. Where the "
            "thread goes first, a slip of the wrench damages the part and stays hidden."
        ),
        "stripping_not_checked": words(
            "In a tapped hole the part is often softer than the bolt; what its thread bears goes "
            "by depth and material, and those are not part of the job."
        ),
        "sinks_in": words(
            "Pressed past what it bears, the face under the head creeps: the clamp load fades "
            "after the job is done, and no torque reading shows it."
        ),
        "unit_mix_up": words(
            "Inch-pounds for foot-pounds is a factor of 12, kilogram-metres for newton metres "
            "one of 9.8. Nothing later in the work can find it: the wrench clicks all the same."
        ),
        "angle_breaks": words(
            "Angles are turned past yield on purpose, but only so far; beyond its tensile "
            "strength the fastener necks and breaks in the hand or in service."
        ),
        "beyond_plastic_budget": words(
            "Stretch past yield is spent for good and sits in a few millimetres of thread. "
            "Angles meant as totals and read as further ones are the usual reason for too much."
        ),
        "angle_not_checked": words(
            "An angle clamps by the stiffness of bolt and parts. Without that figure nobody can "
            "say what it leaves; the procedure may still be right."
        ),
        "stretch_not_checked": words(
            "Stretch tells the clamp load best of all, but only with the free length and the "
            "sections of the bolt; those are not part of the job."
        ),
        # surface
        "no_surface_condition": words(
            "The same torque can leave twice the clamp load on oiled threads that it leaves on dry "
            "ones. The lubricant is part of the figure."
        ),
        "surface_from_text": words(
            "The lubricant is part of the torque figure; the range of friction it stands for is "
            "what the clamp load is reckoned with."
        ),
        "surface_contradicts_text": words(
            "A torque given for oiled threads leaves too little on dry ones, and one for dry "
            "threads too much on oiled ones."
        ),
        "several_lubricants": words(
            "Holes that break into coolant or oil need sealer, others may need oil: one part can "
            "have both, and each leaves another clamp load."
        ),
        # what cannot be checked
        "no_thread": words(
            "Without the thread nobody can tell what a torque does to a fastener: nothing was "
            "checked here but the order of the stages."
        ),
        "no_strength": words(
            "Without the strength class nobody can tell yield or proof load: a wrong unit would "
            "pass unseen."
        ),
        "no_figure": words("A stage without a figure cannot be set, checked or judged."),
        # one stage after the other
        "loosened_not_retightened": words(
            "Loosening settles a joint or frees it; what holds it is the stage after."
        ),
        "never_tightened": words(
            "Fasteners that are only run down hold nothing, and look like the others."
        ),
        "angle_without_start": words(
            "The torque before an angle closes the joint and sets the zero, for each fastener on "
            "its own. Without it the angle measures slack."
        ),
        "torque_falls": words(
            "A wrench set lower than the fastener is tight clicks at once and moves nothing. "
            "That click says nothing about the clamp load."
        ),
        "turned_on_after_angle": words(
            "After an angle the fastener may be past yield, and friction at rest hides what it "
            "holds: turning it on stretches it again and spoils a good joint."
        ),
        "read_while_turning": words(
            "The highest torque of the angle pull tells whether the bolt held; found by turning "
            "on later it tells less, and stretches the bolt."
        ),
        # before the first pull
        "new_fasteners": words(
            "Makers ask for new fasteners where one use spends their stretch or their locking."
        ),
        "reuse_forbidden": words(
            "A fastener whose stretch or locking is spent looks like a new one, and fails at the "
            "same torque. The maker asks for new ones because nobody can see the difference."
        ),
        "measure_before_reuse": words(
            "A fastener that has grown can bottom in its hole, or break on the next use."
        ),
        # text
        "reading_warning": words(
            "A misread procedure is the one error that nothing later in the work can find."
        ),
        # plan
        "order_not_entered": words(
            "Order decides how evenly parts are pulled together; a general order is a stand-in "
            "for the maker's."
        ),
        "order_incomplete": words(
            "An order that names a fastener twice or not at all leaves one behind."
        ),
        "slot_out_of_reach": words(
            "A castle nut stops where a slot meets the hole. On a stiff joint one slot is a large "
            "part of the torque, and turning back to a slot leaves it loose."
        ),
        "sleeve_slackened": words(
            "A crush sleeve yields once and pushes back just enough. Slackened, it is shorter than "
            "the bearings need, and the preload is gone whatever the nut's torque says."
        ),
        "rotating_not_asked": words(
            "The nut's torque goes into the sleeve and says nothing of the bearings; only what it "
            "takes to turn the shaft does."
        ),
        "running_not_measured": words(
            "A locking nut eats part of the torque, another part for every nut. Added from a table "
            "or not at all, the clamp load is wrong by that much."
        ),
        "fastener_missed": words("The fastener nobody names is the one that is forgotten."),
        "no_tool": words("A pull with a tool that cannot show it, or not hold it, is a guess."),
        "tighter_than_tool": words(
            "A reading within such limits may still be a torque outside them: the wrench does "
            "not know better."
        ),
        "workshop_limits": words(
            "Where a manual prints no limits somebody has to choose them; the record says who."
        ),
        "no_source": words("Who checks the work later must be able to open the same page."),
        "calibration_doubtful": words(
            "A spring drifts with use and time, and no click sounds different for it."
        ),
        "left_hand_unclear": words(
            "A left-hand thread pulled the usual way is loosened, with all the feel of tightening."
        ),
        "second_look": words(
            "Where a failure can hurt somebody, series production measures two things; a "
            "workshop can copy the intent: torque and angle, or a second pair of eyes, and a mark."
        ),
    }
)
"""By code of finding."""
